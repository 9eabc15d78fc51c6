// @ts-check
// Lets what is measured be framed on a picture that is kept smaller than it was taken.

import { inWords } from "./words.js";

const largest = 3200; // px a side: no more of it stays at full size

/**
 * Shows a picture and returns what was framed, [x, y, width, height] in its own pixels, or null for the whole alone.
 * @param {ImageBitmap} whole @returns {Promise<[number, number, number, number] | null>}
 */
export function framed(whole) {
  const dialog = document.createElement("dialog");
  dialog.className = "framing";
  dialog.setAttribute("aria-labelledby", "framing");
  dialog.innerHTML = `<form method="dialog"><h2 id="framing">${inWords("Frame what is measured")}</h2><p class="hint">${inWords("Draw a frame: it stays at full size beside the reduced picture.")}</p>` +
    `<canvas></canvas><p><button class="main" value="">${inWords("The whole is enough")}</button> <button value="middle">${inWords("Its middle at full size")}</button> <button value="frame" disabled>${inWords("What is framed")}</button></p></form>`;
  const canvas = /** @type {HTMLCanvasElement} */ (dialog.querySelector("canvas")), pen = canvas.getContext("2d");
  const part = 800 / Math.max(whole.width, whole.height), use = /** @type {HTMLButtonElement} */ (dialog.querySelector("[disabled]"));
  [canvas.width, canvas.height] = [Math.round(whole.width * part), Math.round(whole.height * part)];
  /** @type {[number, number] | undefined} */
  let from;
  let box = middle();

  /** The middle half, as large as full size is kept. @returns {[number, number, number, number]} */
  function middle() {
    const [w, h] = [whole.width, whole.height].map((v) => Math.min(largest, Math.round(v / 2)));
    return [Math.round((whole.width - w) / 2), Math.round((whole.height - h) / 2), w, h];
  }
  function draw() {
    pen?.drawImage(whole, 0, 0, canvas.width, canvas.height);
    if (!pen || use.disabled) return;
    for (const [colour, wide] of /** @type {[string, number][]} */ ([["#000", 7], ["#fff", 3]])) {
      [pen.strokeStyle, pen.lineWidth] = [colour, wide];
      pen.strokeRect(box[0] * part, box[1] * part, box[2] * part, box[3] * part);
    }
  }
  /** @param {PointerEvent} event @returns {[number, number]} */
  const place = (event) => {
    const { left, top, width, height } = canvas.getBoundingClientRect();
    return [Math.max(0, Math.min(1, (event.clientX - left) / width)) * whole.width, Math.max(0, Math.min(1, (event.clientY - top) / height)) * whole.height];
  };
  canvas.addEventListener("pointerdown", (event) => {
    from = place(event);
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!from) return;
    const to = place(event), [x, u] = [from[0], to[0]].sort((a, b) => a - b), [y, v] = [from[1], to[1]].sort((a, b) => a - b);
    box = [Math.floor(x), Math.floor(y), Math.min(largest, Math.round(u - x)), Math.min(largest, Math.round(v - y))];
    use.disabled = box[2] < 50 || box[3] < 50;
    draw();
  });
  for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, () => { from = undefined; });
  document.body.append(dialog);
  draw();
  dialog.showModal();
  return new Promise((done) => dialog.addEventListener("close", () => {
    dialog.remove();
    done(dialog.returnValue === "frame" ? box : dialog.returnValue === "middle" ? middle() : null);
  }));
}
