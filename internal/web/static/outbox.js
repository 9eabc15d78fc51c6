// @ts-check
// A round that cannot be sent waits on this device and goes when there is a
// connection again. Sending it twice does no harm: its batch is kept once.

import { dropDraft, keepDraft } from "./draft.js";

const prefix = "waiting ";

/** @typedef {{vehicle: string, name: string, action: string, body: string, sheet?: boolean}} Waiting */

/**
 * Sends what a form holds. Gives the address of the batch that was kept, or
 * whether it was refused for what it holds; throws where nobody answers.
 * @param {string} action @param {string} body @returns {Promise<{kept?: string, refused: boolean}>}
 */
async function send(action, body) {
  const answer = await post(action, body);
  if (answer.ok && /\/batch\/|\/job(\/done)?$/.test(new URL(answer.url).pathname)) return { kept: answer.url, refused: false };
  return { refused: answer.status === 409 || answer.status === 422 };
}

/** @param {string} action @param {string} body */
export function post(action, body) {
  const at = new URLSearchParams(body);
  at.set("sent", String(Date.now())); // beside "typed" it tells how wrong this clock is
  const headers = { "Content-Type": "application/x-www-form-urlencoded", Accept: "text/html" };
  return fetch(action, { method: "POST", headers, body: at.toString() });
}

/** Keeps on this device what could not be sent. @param {Waiting} waiting */
export function wait(waiting) {
  localStorage.setItem(prefix + new URLSearchParams(waiting.body).get("batch"), JSON.stringify(waiting));
  const what = waiting.sheet ? "This tick is" : "The round of " + waiting.name + " is";
  say("The server is not reached. " + what + " kept on this device and is sent when there is a connection; what you change now counts when you keep it again.");
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
      wait({ vehicle, name, action: form.action, body });
    }
  });
}

/** Sends what waits, now and whenever the connection comes back. */
export function sendWaiting() {
  addEventListener("online", flush);
  flush();
}

async function flush() {
  for (const key of Object.keys(localStorage).filter((key) => key.startsWith(prefix)).sort()) { // a batch id tells when it was made
    /** @type {Waiting} */
    let waiting;
    const text = localStorage.getItem(key) ?? "";
    try { waiting = JSON.parse(text); } catch { localStorage.removeItem(key); continue; }
    try {
      const { kept, refused } = await send(waiting.action, waiting.body);
      if (kept) {
        if (localStorage.getItem(key) === text) localStorage.removeItem(key); // kept anew meanwhile, it goes next time
        if (!waiting.sheet) dropDraft(waiting.vehicle, new URLSearchParams(waiting.body));
        dispatchEvent(new Event("kept")); // its pictures go now
        say((waiting.sheet ? "What was ticked on the job sheet of " : "The round of ") + waiting.name + " that waited on this device is kept now.", kept, "See it");
      } else if (refused && waiting.sheet) {
        localStorage.removeItem(key);
        say("A tick on the job sheet of " + waiting.name + " waited on this device and was not taken.", "/v/" + waiting.vehicle + "/job", "Open it and tick again to see why");
      } else if (refused) {
        localStorage.removeItem(key);
        keepDraft(waiting.vehicle, { at: 0 }, new URLSearchParams(waiting.body));
        say("The round of " + waiting.name + " waits on this device and was not taken.", "/v/" + waiting.vehicle + "/round", "Open it and keep it again to see why");
      }
    } catch { return; } // still no connection
  }
}

/** @param {string} words @param {string} [href] @param {string} [to] */
export function say(words, href, to) {
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
