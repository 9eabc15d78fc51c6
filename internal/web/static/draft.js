// @ts-check
// A round that was begun is kept on this device until it is sent.

/** @typedef {{at: number, used?: number, passed?: number[], fields: [string, string][]}} Draft */

/** What found no room on this device when it was kept last. @type {Set<string>} */
export const full = new Set();

/** Keeps a text on this device; false: there is no room. @param {string} key @param {string} text */
export function store(key, text) {
  const before = full.size;
  try {
    localStorage.setItem(key, text);
    full.delete(key);
  } catch { full.add(key); }
  if (full.size !== before) dispatchEvent(new Event("full"));
  return !full.has(key);
}

/** @param {string} vehicle */
function key(vehicle) { return "round " + vehicle; }

/** What is kept of a round, or undefined. @param {string} vehicle @returns {Draft | undefined} */
export function draftOf(vehicle) {
  try { return JSON.parse(localStorage.getItem(key(vehicle)) ?? "") ?? undefined; } catch { return undefined; }
}

/**
 * Keeps what was answered on this device, where the round's page looks for it.
 * @param {string} vehicle @param {Omit<Draft, "fields">} walk how far it has come
 * @param {Iterable<[string, FormDataEntryValue]>} fields
 */
export function keepDraft(vehicle, walk, fields) {
  const typed = [...fields].filter(([name, value]) => value !== "" && !["open", "by", "touch"].includes(name));
  return store(key(vehicle), JSON.stringify({ ...walk, fields: typed }));
}

/** @param {string} vehicle */
export function forget(vehicle) {
  localStorage.removeItem(key(vehicle));
  full.delete(key(vehicle));
}

/**
 * Lets a draft go that says no more than what was sent. One that was changed since
 * stays, and what is new in it counts when it is kept.
 * @param {string} vehicle @param {URLSearchParams} sent
 */
export function dropDraft(vehicle, sent) {
  if (draftOf(vehicle)?.fields.every(([name, value]) => sent.getAll(name).includes(value))) forget(vehicle);
}

/**
 * Fills a form in again as it was sent or kept; a field that stands several times takes
 * its values in their order.
 * @param {HTMLFormElement} form @param {Iterable<[string, string]>} fields
 */
export function fill(form, fields) {
  const said = [...fields], taken = new Set();
  for (const e of form.elements) {
    if (!(e instanceof HTMLInputElement || e instanceof HTMLSelectElement || e instanceof HTMLTextAreaElement)) continue;
    const chosen = e.type === "checkbox" || e.type === "radio", of = said.filter(([name]) => name === e.name);
    const next = of.find((field) => chosen ? field[1] === e.value : !taken.has(field));
    if (e instanceof HTMLInputElement && (e.type === "checkbox" || e.type === "radio" && of.length)) e.checked = Boolean(next);
    else if (next && !chosen) e.value = next[1];
    taken.add(next);
  }
}

/** A new UUID version 7 (RFC 9562): milliseconds first, then random bits. */
export function newID() {
  const b = crypto.getRandomValues(new Uint8Array(16));
  for (let i = 5, t = Date.now(); i >= 0; i--, t = Math.floor(t / 256)) b[i] = t % 256;
  b[6] = (b[6] & 0x0f) | 0x70;
  b[8] = (b[8] & 0x3f) | 0x80;
  const hex = [...b].map((x) => x.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}
