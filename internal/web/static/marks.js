// @ts-check
// Two pictures in one frame, and marks drawn on one: by a finger, a mouse or figures typed.

import { inWords } from "./words.js";

/** Lays the newer picture over the older, with a slider between; at the same scale where a length is marked in both. @param {HTMLElement} two */
function slider(two) {
  const [below, above] = /** @type {NodeListOf<HTMLElement>} */ (two.querySelectorAll("figure")), range = document.createElement("input");
  const frame = /** @type {HTMLElement} */ (above.querySelector(".marked")), sheet = /** @type {HTMLElement} */ (above.querySelector(".sheet"));
  range.type = "range";
  range.value = "50";
  range.setAttribute("aria-label", inWords("How much of the newer picture is shown"));
  const show = () => frame.style.setProperty("clip-path", "inset(0 0 0 " + (100 - Number(range.value)) + "%)");
  range.addEventListener("input", show);
  two.classList.add("over");
  two.after(range);
  const said = document.getElementById("scaled");
  if (said) {
    const times = Number(above.dataset.across) / Number(below.dataset.across);
    const [to, from] = [below, above].map((f) => (f.dataset.mid ?? "").split(" ").map(Number));
    const move = () => sheet.style.setProperty("transform", "translate(" + to.map((v, i) => (v - times * from[i]) * below.clientWidth + "px") + ") scale(" + times + ")");
    sheet.style.transformOrigin = "0 0";
    new ResizeObserver(move).observe(below);
    said.hidden = false;
  }
  show();
}

/** Draws a mark where the picture is touched, and where its figures say. @param {HTMLFormElement} form */
function marking(form) {
  const frame = /** @type {HTMLElement} */ (document.querySelector(".marked")), svg = /** @type {SVGElement} */ (frame.querySelector("svg"));
  const fields = ["x1", "y1", "x2", "y2"].map((name) => /** @type {HTMLInputElement} */ (form.elements.namedItem(name)));
  const box = /** @type {HTMLDetailsElement} */ (form.closest("details"));
  const lines = ["under", ""].map((name) => {
    const line = document.createElementNS("http://www.w3.org/2000/svg", "path");
    line.setAttribute("class", name);
    svg.append(line);
    return line;
  });
  /** @type {[number, number] | undefined} */
  let from;
  let dragged = false, second = false;
  /** @param {number} n the first of the two fields @param {[number, number]} at */
  const set = (n, at) => { at.forEach((v, i) => { fields[n + i].value = (100 * v).toFixed(1); }); draw(); };
  /** @param {PointerEvent} event @returns {[number, number]} */
  const place = (event) => {
    const { left, top, width, height } = frame.getBoundingClientRect();
    return [Math.max(0, Math.min(1, (event.clientX - left) / width)), Math.max(0, Math.min(height / width, (event.clientY - top) / width))];
  };
  function draw() {
    const [x, y, u, v] = fields.map((f) => Number(f.value) / 100), shape = new FormData(form).get("shape"), long = Math.hypot(u - x, v - y) || 1;
    const [a, b] = [(u - x) / long, (v - y) / long], head = Math.min(0.04, long / 2);
    /** @param {number} p @param {number} q @param {number} back @param {number} out */
    const side = (p, q, back, out) => [p - back * a - out * b, q - back * b + out * a].join(" ");
    const [rx, ry] = [Math.abs(u - x) / 2, Math.abs(v - y) / 2];
    const path = "M" + (shape === "ring" ? [x, (y + v) / 2] + "A" + [rx, ry, 0, 1, 0, u, (y + v) / 2] + "A" + [rx, ry, 0, 1, 0, x, (y + v) / 2]
      : [x, y] + "L" + [u, v] + (shape === "arrow" ? "M" + side(u, v, head, head / 2) + "L" + [u, v] + "L" + side(u, v, head, -head / 2)
        : "M" + side(x, y, 0, 0.015) + "L" + side(x, y, 0, -0.015) + "M" + side(u, v, 0, 0.015) + "L" + side(u, v, 0, -0.015)));
    for (const line of lines) line.setAttribute("d", box.open ? path : "");
    document.body.classList.toggle("marking", box.open);
  }
  frame.addEventListener("pointerdown", (event) => {
    if (!box.open) return;
    event.preventDefault();
    frame.setPointerCapture(event.pointerId);
    from = place(event);
    dragged = false;
  });
  frame.addEventListener("pointermove", (event) => {
    const to = place(event);
    if (!from || !dragged && Math.hypot(to[0] - from[0], to[1] - from[1]) < 0.015) return;
    dragged = true;
    second = false;
    set(0, from);
    set(2, to);
  });
  frame.addEventListener("pointerup", () => {
    if (from && !dragged) { // one touch sets one point, the next the other
      set(second ? 2 : 0, from);
      second = !second;
    }
    from = undefined;
  });
  form.addEventListener("input", draw);
  box.addEventListener("toggle", draw);
  if (location.hash === "#mark") box.open = true;
  draw();
}

for (const two of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-two]"))) slider(two);
for (const form of /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll("form[data-mark]"))) marking(form);
export {}; // a module of its own
