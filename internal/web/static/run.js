// @ts-check
// Redraws a belt run while its figures change and lets its pulleys be dragged.
// The server works everything out: without script the form does the same.

const form = /** @type {HTMLFormElement | null} */ (document.getElementById("ask"));
const WAIT = 180; // ms after the last change

/** @type {AbortController | undefined} */
let running;
/** @type {number | undefined} */
let timer;

/** The address that asks what the form asks, unchanged figures left out. */
function address() {
  const f = /** @type {HTMLFormElement} */ (form);
  const url = new URL(f.action);
  for (const [key, value] of new FormData(f)) {
    const field = /** @type {any} */ (f.elements.namedItem(key));
    const was = field instanceof HTMLInputElement ? field.dataset.sheet ?? "" : "";
    if (typeof value === "string" && value.trim() !== "" && value !== was) url.searchParams.set(key, value);
  }
  if (!url.searchParams.has("hz")) url.searchParams.delete("tap");
  return url;
}

async function redraw() {
  const answer = /** @type {HTMLElement} */ (document.getElementById("answer"));
  running?.abort();
  running = new AbortController();
  answer.classList.add("late");
  try {
    const url = address();
    const reply = await fetch(url, { signal: running.signal, headers: { Accept: "text/html" } });
    const page = new DOMParser().parseFromString(await reply.text(), "text/html");
    const next = page.getElementById("answer");
    if (next) {
      const old = answer.querySelector("figure.run");
      if (!next.querySelector("figure.run") && old) next.append(old); // what cannot be keeps the last drawing
      answer.replaceChildren(...next.childNodes);
      history.replaceState(null, "", url);
      grips();
    } else {
      const lead = answer.querySelector(".lead");
      const said = page.querySelector(".faults li, main li, main p");
      if (lead && said) lead.textContent = said.textContent;
    }
    answer.classList.remove("late");
  } catch (e) {
    if (!(e instanceof DOMException && e.name === "AbortError")) answer.classList.remove("late");
  }
}

function soon() {
  clearTimeout(timer);
  timer = setTimeout(redraw, WAIT);
}

/** @param {string} name */
const field = (name) => /** @type {HTMLInputElement | null} */ (form?.elements.namedItem(name) ?? null);

/** Lets each pulley of the drawing be dragged; its two fields follow. */
function grips() {
  const svg = /** @type {SVGSVGElement | null} */ (document.querySelector("#answer figure.run svg"));
  const rows = form?.querySelectorAll("#pulleys tbody tr").length ?? 0;
  const rims = /** @type {SVGCircleElement[]} */ ([...(svg?.querySelectorAll("circle.d-rim") ?? [])]);
  if (!svg || rims.length !== rows) return; // a pulley was left out or added
  const scale = millimetres(rims);
  if (!scale) return;
  rims.forEach((rim, i) => {
    rim.classList.add("movable");
    const group = /** @type {SVGGElement} */ (rim.parentNode);
    group.style.setProperty("touch-action", "none");
    group.addEventListener("pointerdown", (e) => drag(e, svg, group, i + 1, scale));
  });
}

/** Drawing units for one millimetre, from a rim and its typed diameter.
 * @param {SVGCircleElement[]} rims */
function millimetres(rims) {
  let best = 0;
  let k = 0;
  rims.forEach((rim, i) => {
    const d = parseFloat(field(`d${i + 1}`)?.value ?? "");
    if (d > best) {
      best = d;
      k = (2 * rim.r.baseVal.value) / d;
    }
  });
  return k;
}

/** @param {PointerEvent} e @param {SVGSVGElement} svg @param {SVGGElement} group @param {number} n @param {number} scale */
function drag(e, svg, group, n, scale) {
  const x = field(`x${n}`);
  const y = field(`y${n}`);
  const to = svg.getScreenCTM()?.inverse();
  if (!x || !y || !to) return;
  const at = (/** @type {PointerEvent} */ p) => new DOMPoint(p.clientX, p.clientY).matrixTransform(to);
  const from = at(e);
  const x0 = parseFloat(x.value);
  const y0 = parseFloat(y.value);
  let moved = false;
  const move = (/** @type {PointerEvent} */ p) => {
    const now = at(p);
    const dx = now.x - from.x;
    const dy = now.y - from.y;
    if (!moved && Math.hypot(dx, dy) < 3) return;
    moved = true;
    group.setAttribute("transform", `translate(${dx} ${dy})`);
    x.value = (x0 + dx / scale).toFixed(1);
    y.value = (y0 - dy / scale).toFixed(1);
  };
  const end = () => {
    removeEventListener("pointermove", move);
    if (moved) {
      svg.addEventListener("click", (c) => c.preventDefault(), { once: true, capture: true });
      redraw();
    }
  };
  e.preventDefault();
  addEventListener("pointermove", move);
  addEventListener("pointerup", end, { once: true });
  addEventListener("pointercancel", end, { once: true });
}

if (form) {
  for (const input of form.querySelectorAll("input")) {
    if (/^[xyd]\d+$/.test(input.name)) input.dataset.sheet = input.dataset.sheet ?? input.defaultValue;
  }
  form.addEventListener("input", soon);
  grips();
}
