// @ts-check
// A round, or a job that is finished, that cannot be sent waits on this device and goes
// when there is a connection again. Sending it twice does no harm: its batch is kept once.

import { dropDraft, fill, keepDraft } from "./draft.js";

const prefix = "waiting ";

/** @typedef {{vehicle: string, name: string, action: string, body: string, what?: "tick" | "finish"}} Waiting */

/**
 * Sends what a form holds. Gives the address of the batch that was kept, or
 * whether it was refused for what it holds; throws where nobody answers.
 * @param {string} action @param {string} body @returns {Promise<{kept?: string, refused: boolean}>}
 */
async function send(action, body) {
  const answer = await post(action, body);
  if (answer.ok && /\/batch\/|\/job(\/done)?$/.test(new URL(answer.url).pathname)) return { kept: answer.url, refused: false };
  return { refused: [404, 409, 422].includes(answer.status) };
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
  const what = waiting.what === "tick" ? "This tick is" : whatOf(waiting) + " is";
  say("The server is not reached. " + what + " kept on this device and is sent when there is a connection; what you change now counts when you keep it again.");
}

/** @param {Waiting} waiting */
function whatOf(waiting) { return (waiting.what === "finish" ? "The finished job of " : "The round of ") + waiting.name; }

/** @param {HTMLFormElement} form */
function bodyOf(form) {
  const body = new URLSearchParams();
  for (const [name, value] of new FormData(form)) if (typeof value === "string") body.append(name, value);
  body.set("typed", String(Date.now()));
  return body.toString();
}

/**
 * Sends a form without leaving the page, so that nothing is lost where there is no
 * connection. A job that waits fills in its page when that is opened again.
 * @param {HTMLFormElement} form
 */
export function outbox(form) {
  const vehicle = form.dataset.vehicle ?? "", name = form.dataset.name ?? vehicle, what = form.id === "finish" ? "finish" : undefined;
  const waits = what && localStorage.getItem(prefix + new FormData(form).get("batch"));
  if (waits && !document.querySelector("main .faults")) fill(form, new URLSearchParams(JSON.parse(waits).body));
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const body = bodyOf(form);
    try {
      const { kept } = await send(form.action, body);
      if (kept) {
        const sent = new URLSearchParams(body);
        if (!what) dropDraft(vehicle, sent);
        localStorage.removeItem(prefix + sent.get("batch")); // what waited of it is older
        location.assign(kept);
      } else form.submit(); // the server says on a page of its own what is wrong
    } catch {
      wait({ vehicle, name, action: form.action, body, what });
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
        if (!waiting.what) dropDraft(waiting.vehicle, new URLSearchParams(waiting.body));
        dispatchEvent(new Event("kept")); // its pictures go now
        say((waiting.what === "tick" ? "What was ticked on the job sheet of " + waiting.name : whatOf(waiting)) + " that waited on this device is kept now.", kept, "See it");
      } else if (refused && waiting.what === "finish") { // it waits until it is opened and kept, or dropped
        if (!document.querySelector("main .faults")) say(whatOf(waiting) + " waits on this device and was not taken.", "", "Open it to see why", () => open(waiting), () => localStorage.removeItem(key));
      } else if (refused && waiting.what === "tick") {
        localStorage.removeItem(key);
        say("A tick on the job sheet of " + waiting.name + " waited on this device and was not taken.", "/v/" + waiting.vehicle + "/job", "Open it and tick again to see why");
      } else if (refused) {
        localStorage.removeItem(key);
        keepDraft(waiting.vehicle, { at: 0 }, new URLSearchParams(waiting.body));
        say(whatOf(waiting) + " waits on this device and was not taken.", "/v/" + waiting.vehicle + "/round", "Open it and keep it again to see why");
      }
    } catch { return; } // still no connection
  }
}

/** Shows what the server says of a form that waits, filled in as it was. @param {Waiting} waiting */
function open(waiting) {
  const form = document.createElement("form");
  form.method = "post";
  form.action = waiting.action;
  for (const [name, value] of new URLSearchParams(waiting.body)) {
    const input = document.createElement("input");
    input.type = "hidden";
    input.name = name;
    input.value = value;
    form.append(input);
  }
  document.body.append(form);
  form.submit();
}

/**
 * Says something where it is seen: by the button of a job that is finished, or first.
 * @param {string} words @param {string} [href] @param {string} [to] @param {() => void} [act] in place of a link
 * @param {() => void} [drop] what waits
 */
export function say(words, href, to, act, drop) {
  let note = document.getElementById("waiting");
  if (!note) {
    note = document.createElement("p");
    note.id = "waiting";
    note.className = "said";
    note.setAttribute("role", "status");
    const button = document.querySelector("#finish button.main")?.parentElement;
    if (button) button.before(note);
    else document.getElementById("main")?.prepend(note);
  }
  note.textContent = words + " ";
  if (act) note.append(button(to ?? "", act), button("Drop it", () => { drop?.(); note.remove(); }));
  if (!href) return;
  const link = document.createElement("a");
  link.href = href;
  link.textContent = to ?? "";
  note.append(link);
}

/** @param {string} words @param {() => void} act */
function button(words, act) {
  const b = document.createElement("button");
  b.type = "button";
  b.className = "quiet";
  b.textContent = words;
  b.addEventListener("click", act);
  return b;
}
