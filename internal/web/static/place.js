// @ts-check
// Marks on a drawing of the vehicle are dragged, or moved with the arrow keys; a touch
// on the drawing adds a position there. Without script the same is typed in forms.

import { inWords } from "./words.js";

/** @typedef {[number, number][]} Scale pairs of a coordinate and its px */

const moved = /** @type {HTMLFormElement | null} */ (document.getElementById("moved"));
const item = /** @type {HTMLFormElement | null} */ (document.getElementById("item"));
const overs = /** @type {SVGSVGElement[]} */ ([...document.querySelectorAll("figure.place .over")]);

/** What lies at v on one side of a scale, on its other side.
 * @param {Scale} scale @param {number} v @param {0 | 1} from */
function along(scale, v, from) {
  const to = 1 - from, up = scale[0][from] < scale[scale.length - 1][from];
  let i = 1;
  while (i < scale.length - 1 && (up ? v > scale[i][from] : v < scale[i][from])) i++;
  const [a, b] = [scale[i - 1], scale[i]];
  return a[to] + ((v - a[from]) / (b[from] - a[from])) * (b[to] - a[to]);
}

/** @param {Element} on */
const figure = (on) => /** @type {HTMLElement} */ (on.closest("figure"));
/** @param {Element} on */
const scales = (on) => ["across", "along"].map((name) => /** @type {Scale} */ (JSON.parse(figure(on).dataset[name] ?? "[]")));
/** @param {number} v @param {number} most */
const within = (v, most) => Math.min(most, Math.max(0, Math.round(v)));
/** @param {string} name */
const fieldOf = (name) => /** @type {HTMLInputElement} */ (item?.elements.namedItem(name));

/** The place on the vehicle under a pointer. @param {MouseEvent} e @param {SVGSVGElement} over */
function under(e, over) {
  const [xs, ys] = scales(over), p = new DOMPoint(e.clientX, e.clientY).matrixTransform(over.getScreenCTM()?.inverse());
  return { x: within(along(xs, p.x, 1), 100), y: within(along(ys, p.y, 1), 200) };
}

/** Puts a mark somewhere, and tells the form. @param {SVGElement} mark @param {{x: number, y: number}} to */
function put(mark, { x, y }) {
  const [xs, ys] = scales(mark);
  mark.setAttribute("transform", `translate(${along(xs, x, 0)} ${along(ys, y, 0)})`);
  mark.dataset.x = String(x);
  mark.dataset.y = String(y);
  mark.classList.add("moved");
  if (item) {
    [fieldOf("x").value, fieldOf("y").value] = [String(x), String(y)];
    fieldOf("from").value = figure(mark).dataset.side ?? "";
  }
  if (!moved) return;
  const name = `at.${mark.dataset.id}`;
  let kept = /** @type {HTMLInputElement | null} */ (moved.elements.namedItem(name));
  if (!kept) moved.append((kept = Object.assign(document.createElement("input"), { type: "hidden", name })));
  kept.value = `${x} ${y}`;
  moved.hidden = false;
  const said = moved.querySelector("[role=status]");
  if (said) said.textContent = inWords("%s: %s across, %s along", mark.getAttribute("aria-label") ?? "", x, y);
}

/** @param {SVGElement} mark */
function movable(mark) {
  let dragged = false;
  mark.addEventListener("pointerdown", (from) => {
    dragged = false;
    const move = (/** @type {PointerEvent} */ e) => {
      if (!dragged && Math.hypot(e.clientX - from.clientX, e.clientY - from.clientY) < 5) return;
      dragged = true;
      put(mark, under(e, /** @type {SVGSVGElement} */ (mark.ownerSVGElement)));
    };
    const end = () => removeEventListener("pointermove", move);
    addEventListener("pointermove", move);
    for (const over of ["pointerup", "pointercancel"]) addEventListener(over, end, { once: true });
  });
  mark.addEventListener("dragstart", (e) => e.preventDefault());
  mark.addEventListener("click", (e) => {
    e.stopPropagation();
    if (dragged || item) e.preventDefault();
  });
  mark.addEventListener("keydown", (e) => {
    const step = e.shiftKey ? 10 : 1, [xs] = scales(mark), right = xs[0][1] < xs[1][1] ? step : -step;
    const by = { ArrowLeft: [-right, 0], ArrowRight: [right, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[e.key];
    if (!by) return;
    e.preventDefault();
    const { x, y } = mark.dataset;
    put(mark, { x: within(Number(x) + by[0], 100), y: within(Number(y) + by[1], 200) });
  });
}

/** The one mark of a form. */
const mine = () => /** @type {SVGElement} */ (document.querySelector("figure.place a.mark"));

for (const over of overs) {
  over.querySelectorAll("a.mark").forEach((mark) => movable(/** @type {SVGElement} */ (mark)));
  over.addEventListener("click", (e) => {
    const at = under(e, over), add = figure(over).dataset.new;
    if (add) location.href = `${add}&x=${at.x}&y=${at.y}`;
    if (!item) return;
    const mark = mine();
    over.append(mark);
    put(mark, at);
  });
}
item?.addEventListener("change", (e) => {
  if (!["from", "x", "y"].includes(/** @type {HTMLInputElement} */ (e.target).name)) return;
  const mark = mine(), over = overs.find((o) => figure(o).dataset.side === fieldOf("from").value);
  const [x, y] = ["x", "y"].map((name) => Number(fieldOf(name).value.replace(",", ".")));
  if (!over || isNaN(x) || isNaN(y)) return;
  const typed = [fieldOf("x").value, fieldOf("y").value];
  over.append(mark);
  put(mark, { x, y });
  [fieldOf("x").value, fieldOf("y").value] = typed;
});
