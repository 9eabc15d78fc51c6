// @ts-check

/**
 * Says below each question what the answer touched would mean.
 * @param {HTMLFormElement} form
 */
export function meanings(form) {
  /** @type {Map<Element, AbortController>} */
  const asked = new Map();
  form.addEventListener("change", async (event) => {
    const input = event.target;
    if (!(input instanceof HTMLInputElement)) return;
    const check = /** @type {HTMLElement | null} */ (input.closest("[data-check]"));
    const says = check?.querySelector(".meaning");
    if (!check || !says) return;
    asked.get(check)?.abort();
    says.textContent = "";
    if (!input.value.trim()) return;
    const control = new AbortController();
    asked.set(check, control);
    const query = new URLSearchParams({ check: check.dataset.check ?? "", answer: input.value });
    try {
      const answer = await fetch(check.dataset.means + "?" + query, { headers: { Accept: "application/json" }, signal: control.signal });
      const body = await answer.json();
      says.replaceChildren(...(answer.ok ? meaning(body) : [fault(body)]));
    } catch {
      if (!control.signal.aborted) says.textContent = "What it means is worked out when the round is kept.";
    }
  });
}

/** @param {{verdict: string, says: string, authority?: string}} m @returns {Node[]} */
function meaning(m) {
  const word = document.createElement("span");
  word.className = "v " + m.verdict;
  word.textContent = m.verdict;
  const who = m.authority ? m.authority[0].toUpperCase() + m.authority.slice(1) + ": " : "";
  return [word, document.createTextNode(": " + who + m.says)];
}

/** @param {{errors?: {Error: string, Hint: string}[]}} body */
function fault(body) {
  const first = body.errors?.[0];
  return document.createTextNode(first ? [first.Error, first.Hint].filter(Boolean).join("; ") + "." : "That cannot be read.");
}

/** @param {string} vehicle */
function draftKey(vehicle) { return "round " + vehicle; }

/**
 * Keeps what was answered on this device, where the round's page looks for it.
 * @param {string} vehicle @param {number} at the stop shown @param {Iterable<[string, FormDataEntryValue]>} fields
 */
export function keepDraft(vehicle, at, fields) {
  const typed = [...fields].filter(([name, value]) => value !== "" && name !== "open" && name !== "by");
  localStorage.setItem(draftKey(vehicle), JSON.stringify({ at, fields: typed }));
}

/**
 * Lets a draft go that says no more than what was sent. One that was changed since
 * stays, and what is new in it counts when it is kept.
 * @param {string} vehicle @param {URLSearchParams} sent
 */
export function dropDraft(vehicle, sent) {
  /** @type {{fields: [string, string][]}} */
  let draft;
  try { draft = JSON.parse(localStorage.getItem(draftKey(vehicle)) ?? ""); } catch { return; }
  if (draft.fields.every(([name, value]) => sent.getAll(name).includes(value))) localStorage.removeItem(draftKey(vehicle));
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

/**
 * Shows a round one position at a time and keeps a draft on this device.
 * @param {HTMLFormElement} form
 */
export function round(form) {
  const stops = /** @type {HTMLElement[]} */ ([...form.querySelectorAll("[data-stop]")]);
  const key = draftKey(form.dataset.vehicle ?? "");
  const bar = form.querySelector("progress"), count = form.querySelector("[data-count]");
  let at = 0;

  /** @param {number} n @param {boolean} [move] */
  function show(n, move) {
    at = Math.max(0, Math.min(stops.length - 1, n));
    stops.forEach((stop, i) => { stop.hidden = i !== at; });
    for (const head of form.querySelectorAll("h2, form > .caution")) /** @type {HTMLElement} */ (head).hidden = !headOf(head);
    const [back, next] = /** @type {NodeListOf<HTMLButtonElement>} */ (form.querySelectorAll("[data-step]"));
    back.hidden = at === 0;
    next.hidden = at === stops.length - 1;
    if (bar) { bar.hidden = false; bar.value = at; }
    if (count) count.textContent = at === 0 ? stops.length - 1 + " stops" : at + " of " + (stops.length - 1);
    if (!move) return;
    const head = stops[at].querySelector("h3");
    if (head) { head.tabIndex = -1; head.focus({ preventScroll: true }); }
    scrollTo(0, form.offsetTop - 8);
  }

  /** A stage's title and cautions stand above each of its stops. @param {Element} head */
  function headOf(head) {
    for (let e = head.nextElementSibling; e; e = e.nextElementSibling) {
      if (e.tagName === "H2") return false;
      if (e === stops[at]) return true;
    }
    return false;
  }

  function save() { keepDraft(form.dataset.vehicle ?? "", at, new FormData(form)); }

  function restore() {
    /** @type {{at: number, fields: [string, string][]}} */
    let draft;
    try { draft = JSON.parse(localStorage.getItem(key) ?? ""); } catch { return; }
    const answered = draft.fields.filter(([name]) => /^[an]\./.test(name));
    if (!answered.length || form.closest("main")?.querySelector(".faults")) return;
    for (const [name, value] of draft.fields) {
      const field = form.elements.namedItem(name);
      if (field instanceof HTMLInputElement && field.type === "checkbox") field.checked = true;
      else if (field instanceof RadioNodeList || field instanceof HTMLInputElement || field instanceof HTMLTextAreaElement) field.value = value;
    }
    at = draft.at;
    const note = document.getElementById("draft");
    if (note) note.hidden = false;
  }

  // The page may come from this device and have been used before: a round of
  // its own needs a batch of its own. A draft brings its batch along.
  const batch = form.elements.namedItem("batch");
  if (batch instanceof HTMLInputElement) batch.value = newID();
  restore();
  form.addEventListener("change", save);
  form.addEventListener("click", (event) => {
    const button = /** @type {Element} */ (event.target).closest?.("[data-step]");
    if (!(button instanceof HTMLElement)) return;
    show(at + Number(button.dataset.step), true);
    save();
  });
  form.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !(event.target instanceof HTMLInputElement)) return;
    event.preventDefault(); // the key goes on to the next stop; only the button keeps the round
    show(at + 1, true);
  });
  document.getElementById("drop")?.addEventListener("click", () => {
    localStorage.removeItem(key);
    location.reload();
  });
  show(at);
}
