// @ts-check
// Takes a task of the plan to another month: dragged from the list or the
// drawing to a month, or by keys from its "Move". The server says what that
// costs before anything is settled; without script the form does the same.

import { inWords } from "./words.js";

const ask = /** @type {HTMLFormElement | null} */ (document.getElementById("move"));
const settle = /** @type {HTMLFormElement | null} */ (document.getElementById("settle"));
const FAR = 8; // px a pointer moves before it drags

/** @type {HTMLElement | undefined} */
let strip;
/** @type {HTMLElement | undefined} */
let from;
/** @type {AbortController | undefined} */
let running;

const months = () => [...(ask?.querySelectorAll("#to option") ?? [])].map((o) => /** @type {HTMLOptionElement} */ (o));

/** The name of a task, from the form. @param {string} id */
const nameOf = (id) => [...(ask?.querySelectorAll("#what option") ?? [])].find((o) => /** @type {HTMLOptionElement} */ (o).value === id)?.textContent ?? id;

/** @template {keyof HTMLElementTagNameMap} K @param {K} tag @param {string} [text] @returns {HTMLElementTagNameMap[K]} */
function make(tag, text) {
  const e = document.createElement(tag);
  if (text) e.textContent = text;
  return e;
}

/** Shows the months to choose from. @param {string} id @param {HTMLElement} source */
function show(id, source) {
  hide();
  from = source;
  strip = make("section");
  strip.id = "mover";
  strip.dataset.move = id;
  strip.setAttribute("role", "dialog");
  strip.setAttribute("aria-labelledby", "mover-what");
  const head = make("h2", inWords("%s: to which month?", nameOf(id)));
  head.id = "mover-what";
  const list = make("div");
  list.className = "months";
  for (const o of months()) {
    const b = make("button", o.dataset.short);
    b.type = "button";
    b.dataset.month = o.value;
    b.setAttribute("aria-pressed", "false");
    list.append(b);
  }
  const said = make("p", inWords("Choose a month to see what it costs; nothing is settled yet."));
  said.className = "said";
  said.setAttribute("role", "status");
  const keep = make("button", inWords("Settle it so"));
  keep.type = "button";
  keep.className = "main";
  keep.hidden = true;
  const leave = make("button", inWords("Leave it as it is"));
  leave.type = "button";
  const act = make("p");
  act.append(keep, " ", leave);
  strip.append(head, list, said, act);
  list.addEventListener("click", (e) => {
    const b = /** @type {HTMLElement} */ (e.target).closest("button");
    if (b?.dataset.month) price(b.dataset.month);
  });
  keep.addEventListener("click", () => send(keep.dataset.month ?? ""));
  leave.addEventListener("click", hide);
  strip.addEventListener("keydown", keys);
  document.body.append(strip);
}

function hide() {
  running?.abort();
  strip?.remove();
  strip = undefined;
  from?.focus();
  from = undefined;
}

/** Arrow keys go from month to month, Escape leaves. @param {KeyboardEvent} e */
function keys(e) {
  if (e.key === "Escape") return hide();
  const all = [...(strip?.querySelectorAll(".months button") ?? [])];
  const at = all.indexOf(/** @type {Element} */ (document.activeElement));
  const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[e.key];
  if (at < 0 || !step) return;
  e.preventDefault();
  /** @type {HTMLElement} */ (all[Math.min(all.length - 1, Math.max(0, at + step))]).focus();
}

/** Asks the server what a month costs and says it. @param {string} month */
async function price(month) {
  if (!strip || !ask) return;
  const said = /** @type {HTMLElement} */ (strip.querySelector(".said"));
  const keep = /** @type {HTMLButtonElement} */ (strip.querySelector("button.main"));
  for (const b of strip.querySelectorAll(".months button")) b.setAttribute("aria-pressed", String(/** @type {HTMLElement} */ (b).dataset.month === month));
  keep.hidden = true;
  said.textContent = inWords("Working it out…");
  running?.abort();
  running = new AbortController();
  const url = new URL(ask.action);
  url.searchParams.set("move", strip.dataset.move ?? "");
  url.searchParams.set("to", month);
  try {
    const reply = await fetch(url, { signal: running.signal, headers: { Accept: "application/json" } });
    const plan = await reply.json();
    const tried = (plan.settled ?? []).find((/** @type {{entry?: string}} */ w) => !w.entry);
    said.textContent = tried ? tried.words : (plan.errors?.[0]?.error ?? inWords("That is not possible."));
    keep.hidden = !tried;
    keep.dataset.month = month;
  } catch (e) {
    if (!(e instanceof DOMException && e.name === "AbortError")) said.textContent = inWords("There is no connection: nothing has been settled.");
  }
}

/** @param {string} month */
function send(month) {
  if (!settle || !strip) return;
  /** @type {HTMLInputElement} */ (settle.elements.namedItem("position")).value = strip.dataset.move ?? "";
  /** @type {HTMLInputElement} */ (settle.elements.namedItem("month")).value = month;
  settle.submit();
}

/** What can be picked up at an element: a task of the list or of the drawing. @param {Element} e */
function picked(e) {
  const row = e.closest("li[data-move]");
  if (row instanceof HTMLElement) return { id: row.dataset.move ?? "", source: /** @type {HTMLElement} */ (row.querySelector("a.move")) };
  const drawn = e.closest("svg.d-months a.d-call");
  const id = drawn?.getAttribute("href")?.match(/\/p\/([^/?#]+)$/)?.[1];
  const source = id && document.querySelector(`li[data-move="${CSS.escape(id)}"] a.move`);
  return id && source instanceof HTMLElement ? { id, source } : undefined;
}

/** The month under a point of the window. @param {number} x @param {number} y */
function monthAt(x, y) {
  return document.elementsFromPoint(x, y).find((e) => e.matches("#mover button[data-month], .d-slot"));
}

/** Drags a task from where the pointer went down. @param {PointerEvent} down */
function drag(down) {
  if (down.button !== 0 || down.pointerType === "touch" && !/** @type {Element} */ (down.target).closest("a.move")) return;
  const what = picked(/** @type {Element} */ (down.target));
  if (!what) return;
  let going = false;
  /** @type {Element | undefined} */
  let over;
  const stop = new AbortController();
  /** @param {PointerEvent} e */
  const move = (e) => {
    if (!going && Math.hypot(e.clientX - down.clientX, e.clientY - down.clientY) < FAR) return;
    if (!going) {
      going = true;
      show(what.id, what.source);
      getSelection()?.removeAllRanges();
    }
    e.preventDefault();
    over?.classList.remove("over");
    over = monthAt(e.clientX, e.clientY);
    over?.classList.add("over");
  };
  const end = () => {
    stop.abort();
    over?.classList.remove("over");
    if (!going) return;
    const after = new AbortController(); // the click that follows a drag is not one
    addEventListener("click", (c) => { c.preventDefault(); c.stopPropagation(); }, { capture: true, signal: after.signal });
    setTimeout(() => after.abort(), 0);
    const month = over instanceof HTMLElement || over instanceof SVGElement ? over.dataset.month : undefined;
    if (month) {
      price(month);
      /** @type {HTMLElement | null} */ (strip?.querySelector(`button[data-month="${month}"]`) ?? null)?.focus();
    }
  };
  addEventListener("pointermove", move, { signal: stop.signal });
  addEventListener("pointerup", end, { signal: stop.signal });
  addEventListener("pointercancel", () => { stop.abort(); over?.classList.remove("over"); }, { signal: stop.signal });
}

if (ask && settle) {
  document.addEventListener("pointerdown", drag);
  document.addEventListener("dragstart", (e) => {
    if (e.target instanceof Element && picked(e.target)) e.preventDefault(); // a link's own dragging
  });
  document.addEventListener("click", (e) => {
    const link = /** @type {Element} */ (e.target).closest?.("a.move");
    const row = link?.closest("li[data-move]");
    if (!(link instanceof HTMLElement) || !(row instanceof HTMLElement) || e.ctrlKey || e.metaKey || e.shiftKey) return;
    e.preventDefault();
    show(row.dataset.move ?? "", link);
    /** @type {HTMLElement | null} */ (strip?.querySelector(".months button") ?? null)?.focus();
  });
}

export {};
