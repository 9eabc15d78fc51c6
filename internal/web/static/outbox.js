// @ts-check
// A round that cannot be sent waits on this device and goes when there is a
// connection again. Sending it twice does no harm: its batch is kept once.

import { dropDraft, keepDraft } from "./round.js";

const prefix = "waiting ";

/** @typedef {{vehicle: string, name: string, action: string, body: string}} Waiting */

/**
 * Sends what a form holds. Gives the address of the batch that was kept, or
 * whether it was refused for what it holds; throws where nobody answers.
 * @param {string} action @param {string} body @returns {Promise<{kept?: string, refused: boolean}>}
 */
async function send(action, body) {
  const at = new URLSearchParams(body);
  at.set("sent", String(Date.now())); // beside "typed" it tells how wrong this clock is
  const headers = { "Content-Type": "application/x-www-form-urlencoded" };
  const answer = await fetch(action, { method: "POST", headers, body: at.toString() });
  if (answer.ok && new URL(answer.url).pathname.includes("/batch/")) return { kept: answer.url, refused: false };
  return { refused: answer.status === 409 || answer.status === 422 };
}

/** @param {HTMLFormElement} form */
function bodyOf(form) {
  const body = new URLSearchParams();
  for (const [name, value] of new FormData(form)) if (typeof value === "string") body.append(name, value);
  body.set("typed", String(Date.now()));
  return body.toString();
}

/**
 * Sends a round without leaving the page, so that nothing is lost where there
 * is no connection.
 * @param {HTMLFormElement} form
 */
export function outbox(form) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const body = bodyOf(form), vehicle = form.dataset.vehicle ?? "", name = form.dataset.name ?? vehicle;
    try {
      const { kept } = await send(form.action, body);
      if (kept) {
        const sent = new URLSearchParams(body);
        dropDraft(vehicle, sent);
        localStorage.removeItem(prefix + sent.get("batch")); // what waited of it is older
        location.assign(kept);
      } else form.submit(); // the server says on a page of its own what is wrong
    } catch {
      /** @type {Waiting} */
      const waiting = { vehicle, name, action: form.action, body };
      localStorage.setItem(prefix + new URLSearchParams(body).get("batch"), JSON.stringify(waiting));
      say("The server is not reached. The round of " + name + " is kept on this device and is sent when there is a connection; what you change now counts when you keep it again.");
    }
  });
}

/** Sends what waits, now and whenever the connection comes back. */
export function sendWaiting() {
  addEventListener("online", flush);
  flush();
}

async function flush() {
  for (const key of Object.keys(localStorage).filter((key) => key.startsWith(prefix))) {
    /** @type {Waiting} */
    let waiting;
    const text = localStorage.getItem(key) ?? "";
    try { waiting = JSON.parse(text); } catch { localStorage.removeItem(key); continue; }
    try {
      const { kept, refused } = await send(waiting.action, waiting.body);
      if (kept) {
        if (localStorage.getItem(key) === text) localStorage.removeItem(key); // kept anew meanwhile, it goes next time
        dropDraft(waiting.vehicle, new URLSearchParams(waiting.body));
        say("The round of " + waiting.name + " that waited on this device is kept now.", kept, "See it");
      } else if (refused) {
        localStorage.removeItem(key);
        keepDraft(waiting.vehicle, 0, new URLSearchParams(waiting.body));
        say("The round of " + waiting.name + " waits on this device and was not taken.", "/v/" + waiting.vehicle + "/round", "Open it and keep it again to see why");
      }
    } catch { return; } // still no connection
  }
}

/** @param {string} words @param {string} [href] @param {string} [to] */
function say(words, href, to) {
  let note = document.getElementById("waiting");
  if (!note) {
    note = document.createElement("p");
    note.id = "waiting";
    note.className = "said";
    note.setAttribute("role", "status");
    document.getElementById("main")?.prepend(note);
  }
  note.textContent = words + " ";
  if (!href) return;
  const link = document.createElement("a");
  link.href = href;
  link.textContent = to ?? "";
  note.append(link);
}
