// @ts-check
// What is written down is kept on this device, sent, and let go once the server has it. Where nobody
// answers it waits and goes when there is a connection again; sending it twice does no harm, since its
// batch is kept once. What became of it stands beside the button that was touched; how much waits of all
// vehicles is counted in the head, which opens the list.

import { dropDraft, fill, full, newID, store } from "./draft.js";
import { inWords } from "./words.js";

const prefix = "waiting ", lately = "sent";
const shown = 600_000; // ms for which the head tells what was sent last

/** @typedef {{vehicle: string, name: string, action: string, body: string, what?: "tick" | "finish", why?: string}} Waiting */
/** @typedef {{kept?: string, why?: string, where?: string, final?: boolean}} Fate of what was sent; why it was not kept, at which field, and for good */

/** The time, with its day where that is another. @param {number} [at] */
function clock(at = Date.now()) {
  const on = new Date(at), day = on.toDateString() === new Date().toDateString() ? {} : /** @type {const} */ ({ day: "numeric", month: "short" });
  return on.toLocaleString([document.documentElement.lang, "en-GB"], { hour: "2-digit", minute: "2-digit", ...day });
}

/** @param {Waiting} w */
const since = (w) => clock(Number(new URLSearchParams(w.body).get("typed")) || undefined);

/**
 * Sends what a form holds; throws where nobody answers.
 * @param {string} action @param {string} body @returns {Promise<Fate>}
 */
async function send(action, body) {
  const answer = await post(action, body, "application/json");
  /** @type {{kept?: string, errors?: {where: string, error: string, hint: string}[]}} */
  const said = answer.headers.get("Content-Type")?.startsWith("application/json") ? await answer.json() : {};
  if (answer.ok && said.kept) return { kept: said.kept };
  const { where, error, hint } = said.errors?.[0] ?? { where: "", error: inWords("the server answers with %s", answer.status), hint: "" };
  const more = (said.errors?.length ?? 1) - 1, why = [error, hint, more > 0 && inWords("%s more", more)].filter(Boolean).map((s) => String(s)[0].toUpperCase() + String(s).slice(1).replace(/\.$/, "") + ".");
  return { why: why.join(" "), where, final: [403, 404, 409, 413, 422].includes(answer.status) };
}

/** @param {string} action @param {string} body @param {string} [accept] */
export function post(action, body, accept = "text/html") {
  const at = new URLSearchParams(body);
  at.set("sent", String(Date.now())); // beside "typed" it tells how wrong this clock is
  const headers = { "Content-Type": "application/x-www-form-urlencoded", Accept: accept };
  return fetch(action, { method: "POST", headers, body: at.toString(), signal: AbortSignal.timeout(40_000) });
}

/** @param {Waiting} w */
const keyOf = (w) => prefix + new URLSearchParams(w.body).get("batch");

/** Keeps on this device what is to be sent; false: it is full. @param {Waiting} w */
export function wait(w) {
  navigator.storage?.persist?.(); // what waits is not to be cleared away for want of room
  const kept = store(keyOf(w), JSON.stringify(w));
  head();
  return kept;
}

/** What waits, the oldest first: a batch id tells when it was made. */
function all() {
  /** @type {[string, string, Waiting][]} */
  const out = [];
  for (const key of Object.keys(localStorage).filter((key) => key.startsWith(prefix)).sort()) {
    const text = localStorage.getItem(key) ?? "";
    try { out.push([key, text, JSON.parse(text)]); } catch { localStorage.removeItem(key); }
  }
  return out;
}

/** Lets go what the server has, and notes that it has. @param {string} key @param {string} text @param {Waiting} w @param {string} kept */
function landed(key, text, w, kept) {
  if (localStorage.getItem(key) === text) localStorage.removeItem(key); // kept anew meanwhile, it goes next time
  if (!w.what) dropDraft(w.vehicle, new URLSearchParams(w.body));
  store(lately, JSON.stringify([[Date.now(), w.name, kept], ...sentLately()].slice(0, 5)));
  head();
}

/** @returns {[number, string, string][]} */
function sentLately() { try { return JSON.parse(localStorage.getItem(lately) ?? "[]"); } catch { return []; } }

/** The words before the name of the yard. */
const title = () => document.title.split(" – ")[0];

/** The pages whose forms may wait: what they say does not hang on how things stand. */
const mayWait = /\/(round|job\/done|add\/\w+|off\/[^/]+)$/;

/** Lets the forms of a page be sent without leaving it, so that nothing is lost where there is no connection. */
export function outbox() {
  const faulty = document.querySelector("main .faults") !== null;
  for (const form of document.forms) {
    const batch = form.elements.namedItem("batch"), to = form.getAttribute("action") ?? "";
    if (form.method !== "post" || !(batch instanceof HTMLInputElement)) continue;
    // The page may come from this device and have been used before: what is written on it now needs a batch of
    // its own. A finished job has the one of its sheet, and a round's draft brings its own.
    if (!faulty && form.id !== "round" && !to.includes("/job/")) batch.value = newID();
    if (mayWait.test(to)) watch(form, batch, faulty);
  }
}

/** @param {HTMLFormElement} form @param {HTMLInputElement} batch @param {boolean} faulty */
function watch(form, batch, faulty) {
  const vehicle = document.body.dataset.vehicle ?? "", what = form.id === "finish" ? "finish" : undefined;
  const button = /** @type {HTMLElement} */ (form.querySelector("button:not([type])"));
  const line = lineBy(button);
  const waits = /** @type {Waiting | null} */ (JSON.parse(localStorage.getItem(prefix + batch.value) ?? "null"));
  if (waits) {
    if (what && !faulty) fill(form, new URLSearchParams(waits.body));
    tell(line, waits.why ? inWords("Refused: %s", waits.why) : waitsSince(waits));
  }
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const data = new URLSearchParams();
    for (const [name, value] of new FormData(form, event.submitter)) if (typeof value === "string") data.append(name, value);
    data.set("typed", String(Date.now()));
    /** @type {Waiting} */
    const w = { vehicle, name: title(), action: form.action, body: data.toString(), what }, kept = wait(w);
    tell(line, inWords("Being sent."));
    line.scrollIntoView({ block: "nearest" });
    /** @type {Fate} */
    let fate = {};
    try { fate = await send(w.action, w.body); } catch { /* nobody answers */ }
    if (fate.kept) {
      landed(keyOf(w), JSON.stringify(w), w, fate.kept);
      location.assign(fate.kept);
    } else if (fate.final) refused(form, line, { ...w, why: fate.why }, fate.where ?? "");
    else if (kept) tell(line, [fate.why ?? inWords("The server is not reached."), waitsSince(w), inWords("Changed, it is to be kept again.")].join(" "));
    else tell(line, inWords("Not kept: the server is not reached, and this device is full. Leave this page open, free some room and keep it again."));
  });
}

/** @param {Waiting} w */
const waitsSince = (w) => inWords("Waits on this device since %s and goes by itself.", since(w));

/** Says why a form was refused, and leads to the field. @param {HTMLFormElement} form @param {HTMLElement} line @param {Waiting} w @param {string} where */
function refused(form, line, w, where) {
  wait(w); // not lost where the page is left now
  const field = /** @type {HTMLElement | null} */ (where && form.querySelector(`[name="${CSS.escape(where)}"], [name="a.${CSS.escape(where.replace(" ", "."))}"]`) || null);
  const at = [field?.closest("[data-stop]")?.querySelector("h3")?.lastChild?.textContent,
    field && (/** @type {HTMLElement | null} */ (field.closest(".check"))?.dataset.title ?? form.querySelector(`label[for="${CSS.escape(field.id)}"]`)?.firstChild?.textContent?.trim())];
  tell(line, inWords("Refused: %s", [at.filter(Boolean).join(", "), w.why].filter(Boolean).join(": ")));
  if (field) line.append(button(inWords("Go there"), () => {
    for (let d = field.closest("details"); d; d = d.parentElement?.closest("details") ?? null) d.open = true;
    field.dispatchEvent(new Event("wrong", { bubbles: true })); // a round shows the stop
    field.focus();
  }));
  const sure = /\bsure\b/.test(w.why ?? "") && form.querySelector("[name=sure]")?.closest("label");
  if (sure) { // to be said beside the button
    line.after(sure);
    sure.hidden = false;
  }
  for (const e of [form.querySelector("button:not([type])"), line]) e?.scrollIntoView({ block: "nearest" });
}

/** Sends what waits, now and whenever the connection comes back. */
export function sendWaiting() {
  for (const what of ["full", "storage", "pageshow"]) addEventListener(what, head); // storage: another page of this device
  addEventListener("online", flush);
  flush();
}

/** @type {Promise<void> | undefined} */
let sending;
/** Sends what waits, one after the other: what comes meanwhile is sent after it. */
export const flush = () => sending = (sending ?? Promise.resolve()).then(sendAll);

async function sendAll() {
  for (const [key, text, w] of all()) {
    /** @type {Fate} */
    let fate;
    try { fate = await send(w.action, w.body); } catch { break; } // still no connection
    const form = [...document.forms].find((f) => prefix + new FormData(f).get("batch") === key), line = form && lineBy(form.querySelector("button:not([type])"));
    if (fate.kept) {
      landed(key, text, w, fate.kept);
      dispatchEvent(new Event("kept")); // its pictures go now
      if (line) tell(line, inWords("Sent %s.", clock()), fate.kept, inWords("See it"));
    } else if (localStorage.getItem(key) === text) {
      if (fate.final && form && line) refused(form, line, { ...w, why: fate.why }, fate.where ?? "");
      else if (fate.final) wait({ ...w, why: fate.why });
    }
  }
  head();
}

/** Shows what the server says of a form that waits, filled in as it was. @param {Waiting} w */
function open(w) {
  const form = document.createElement("form");
  form.method = "post";
  form.action = w.action;
  for (const [name, value] of new URLSearchParams(w.body)) {
    const input = document.createElement("input");
    [input.type, input.name, input.value] = ["hidden", name, value];
    form.append(input);
  }
  document.body.append(form);
  form.submit();
}

/** The line beside what was touched, or the first on the page. @param {Element | null} touched @returns {HTMLElement} */
export function lineBy(touched) {
  const row = touched?.closest(".walk") ?? touched?.closest("p, li") ?? touched ?? document.getElementById("main");
  const inside = !touched || row?.matches(".walk, li") === true, there = inside ? row?.querySelector(":scope > .fate") : row?.previousElementSibling;
  if (there instanceof HTMLElement && there.matches(".fate")) return there;
  const line = document.createElement("p");
  line.className = "fate";
  line.setAttribute("role", "status");
  if (row?.matches("li")) row.append(line);
  else if (inside) row?.prepend(line);
  else row?.before(line);
  return line;
}

/** @param {HTMLElement} line @param {string} words @param {string} [href] @param {string} [to] */
export function tell(line, words, href, to) {
  line.textContent = words + " ";
  if (href) line.append(linkTo(href, to ?? ""));
}

/** @param {string} href @param {string} words */
function linkTo(href, words) {
  const a = document.createElement("a");
  [a.href, a.textContent] = [href, words];
  return a;
}

/** @param {string} words @param {() => void} act */
function button(words, act) {
  const b = document.createElement("button");
  [b.type, b.className, b.textContent] = ["button", "quiet", words];
  b.addEventListener("click", act);
  return b;
}

/** Counts in the head what waits, of all vehicles; what was refused comes first. */
export function head() {
  const bar = document.querySelector(".bar"), [last] = sentLately();
  if (!bar) return;
  const waiting = all().map(([, , w]) => w), pictures = Number(localStorage.getItem("pictures") ?? 0), bad = waiting.filter((w) => w.why).length, n = waiting.length + pictures;
  const words = full.size ? inWords("Not kept") : bad ? inWords("%s refused", bad) : n === 1 ? inWords("1 waits") : n ? inWords("%s wait", n) : last && Date.now() - last[0] < shown ? inWords("Sent %s", clock(last[0])) : "";
  let place = document.getElementById("waits");
  if (!place) {
    place = document.createElement("span");
    place.id = "waits";
    place.setAttribute("role", "status");
    bar.querySelector("button")?.before(place);
    const list = document.createElement("div");
    list.id = "outbox";
    list.popover = "auto";
    bar.after(list);
  }
  if (place.textContent === words) return;
  const count = button(words, () => {});
  count.className = bad || full.size ? "main" : "";
  count.popoverTargetElement = document.getElementById("outbox");
  count.addEventListener("click", listAll);
  place.replaceChildren(...(words ? [count] : []));
}

/** Lists what waits and what was sent last. */
function listAll() {
  const list = document.createElement("ul"), pictures = Number(localStorage.getItem("pictures") ?? 0);
  list.className = "plain";
  /** @param {(string | Node)[]} parts */
  const row = (...parts) => { const li = document.createElement("li"); li.append(...parts); list.append(li); };
  if (full.size) row(inWords("This device is full: what is touched now is lost with its page. Free some room."));
  for (const [key, , w] of all()) {
    const drop = button(inWords("Drop it"), () => { localStorage.removeItem(key); head(); listAll(); });
    row(w.why ? inWords("%s: refused. %s", w.name, w.why) + " " : inWords("%s: waits since %s.", w.name, since(w)), ...(w.why ? [button(inWords("Open it"), () => open(w)), " ", drop] : []));
  }
  if (pictures) row(pictures === 1 ? inWords("1 picture waits.") : inWords("%s pictures wait.", pictures));
  if (list.childElementCount) row(button(inWords("Send now"), flush));
  for (const [at, name, kept] of sentLately()) row(inWords("Sent %s:", clock(at)) + " ", linkTo(kept, name));
  document.getElementById("outbox")?.replaceChildren(list);
}
