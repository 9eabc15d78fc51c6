// @ts-check
// The bench of a run that is measured: pulleys dragged on a sketch, a photograph of this device laid under it whose rims
// are touched, order and sides by following the belt. All of it goes into the form's fields; the server works it out.

import { inWords } from "./words.js";

const form = /** @type {HTMLFormElement} */ (document.getElementById("measure"));
const bench = /** @type {HTMLElement} */ (document.getElementById("bench"));
const stage = /** @type {HTMLElement} */ (document.getElementById("stage"));
const lens = /** @type {HTMLElement} */ (document.getElementById("lens"));
const choice = /** @type {HTMLSelectElement} */ (document.getElementById("of"));
const NS = "http://www.w3.org/2000/svg";
const LONG = 3200; // px of the longer side a picture is reduced to
const WAIT = 500; // ms after the last change
const FIVE = 5; // touches on two rims at least, three on the others

/** @typedef {{x: number, y: number}} At */

/** @param {string} name */
const field = (name) => /** @type {HTMLInputElement | null} */ (form.elements.namedItem(name));
const hand = () => String(new FormData(form).get("hand"));
/** @param {string} tag @param {Record<string, string | number>} with_ @param {Element} [into] */
function el(tag, with_, into) {
  const e = document.createElementNS(NS, tag);
  for (const [k, v] of Object.entries(with_)) e.setAttribute(k, String(v));
  into?.append(e);
  return e;
}

/** The rows that say something of a pulley, from 1. */
const rows = () => [...document.querySelectorAll("#pulleys fieldset")].map((_, i) => i + 1)
  .filter((n) => ["p", "d", "t"].some((k) => field(k + n)?.value.trim()));
/** @param {number} n */
const named = (n) => field("p" + n)?.value.trim() || inWords("Pulley %s", n);
/** @param {number} n @returns {At[]} */
function touches(n) {
  const v = (field("t" + n)?.value ?? "").split(/[\s,;]+/).filter(Boolean).map(Number);
  return v.flatMap((x, i) => i % 2 || v[i + 1] === undefined ? [] : [{ x, y: v[i + 1] }]);
}
/** @param {number} n @param {At[]} at */
function setTouches(n, at) {
  const f = field("t" + n);
  if (f) f.value = at.map((t) => t.x.toFixed(1) + " " + t.y.toFixed(1)).join(" ");
}

/** @type {{image: ImageBitmap, url: string, w: number, h: number} | null} */
let photo = null;
/** @type {At[]} */
let along = [];
/** @type {At} */
let cursor = { x: 0, y: 0 };
let zoom = 1;
/** What is drawn on while a pulley is dragged. @type {{x: number, y: number, w: number, h: number} | null} */
let still = null;

/** What is drawn on: the picture in its own pixels, or the sketch in its own scale with y turned down. */
function view() {
  if (still) return still;
  if (photo) return { x: 0, y: 0, w: photo.w, h: photo.h };
  const far = Math.max(250, ...rows().map(place).map((p) => Math.max(Math.abs(p.x), Math.abs(p.y)) + 1.1 * p.r));
  return { x: -1.2 * far, y: -far, w: 2.4 * far, h: 2 * far };
}

/** Where a pulley is drawn: as touched, as sketched, or on a ring. @param {number} n @returns {At & {r: number}} */
function place(n) {
  if (photo) {
    const t = touches(n);
    if (t.length < 2) return { x: NaN, y: NaN, r: 0 };
    const xs = t.map((p) => p.x), ys = t.map((p) => p.y);
    const x = (Math.min(...xs) + Math.max(...xs)) / 2, y = (Math.min(...ys) + Math.max(...ys)) / 2;
    return { x, y, r: Math.max(...t.map((p) => Math.hypot(p.x - x, p.y - y))) };
  }
  const x = parseFloat(field("x" + n)?.value ?? ""), y = parseFloat(field("y" + n)?.value ?? "");
  return { x: x || 0, y: -y || 0, r: (parseFloat(field("d" + n)?.value ?? "") || 80) / 2 };
}

/** Gives pulleys without a place one on a ring, in their order, so that they can be dragged. */
function sketch() {
  const all = rows();
  all.forEach((n, i) => {
    const x = field("x" + n), y = field("y" + n);
    if (!x || !y || x.value || y.value) return;
    const a = -Math.PI / 2 - 2 * Math.PI * i / Math.max(all.length, 5), r = field("s" + n)?.value === "back" ? 120 : 200;
    x.value = (r * Math.cos(a)).toFixed(0);
    y.value = (r * Math.sin(a)).toFixed(0);
  });
}

function draw() {
  if (!photo) sketch();
  const v = view(), svg = /** @type {SVGSVGElement} */ (el("svg", { viewBox: [v.x, v.y, v.w, v.h].join(" "), "aria-hidden": hand() === "move" && !photo ? "false" : "true" }));
  svg.style.width = 100 * zoom + "%";
  const size = v.w / 32 / Math.sqrt(zoom), focused = /** @type {SVGElement | null} */ (document.activeElement)?.dataset?.n;
  if (photo) el("image", { href: photo.url, width: photo.w, height: photo.h }, svg);
  for (const n of rows()) {
    const p = place(n), of = String(n) === choice.value;
    if (photo) for (const t of touches(n)) for (const on of ["", " on"]) el("circle", { cx: t.x, cy: t.y, r: size / 3, class: "mark" + on }, svg);
    if (Number.isNaN(p.x)) continue;
    const g = /** @type {SVGGElement} */ (el("g", { "data-n": n }, svg));
    if (!photo) {
      g.setAttribute("tabindex", hand() === "move" ? "0" : "-1");
      g.setAttribute("role", "button");
      g.setAttribute("aria-label", inWords("%s %s at %s, %s", field("o" + n)?.value || n, named(n), p.x.toFixed(0), (-p.y).toFixed(0)));
      el("circle", { cx: p.x, cy: p.y, r: p.r, class: "pul" + (of ? " of" : "") + (field("s" + n)?.value === "back" ? " back" : "") }, g);
    }
    el("text", { x: p.x, y: p.y, "font-size": size }, g).textContent = field("o" + n)?.value || String(n);
  }
  const rims = document.getElementById("rims");
  if (photo && rims) svg.append(...[...rims.children].map((e) => e.cloneNode()));
  if (along.length) el("polyline", { points: along.map((p) => p.x + "," + p.y).join(" "), class: "way" }, svg);
  if (document.activeElement === stage) el("path", { d: cross(cursor, size), class: "at", "data-size": size }, svg);
  stage.classList.toggle("move", hand() === "move");
  stage.style.touchAction = hand() === "move" && photo ? "auto" : "none";
  const { scrollLeft, scrollTop } = stage;
  stage.replaceChildren(svg);
  stage.scrollTo(scrollLeft, scrollTop);
  if (focused) /** @type {SVGElement | null} */ (stage.querySelector(`g[data-n="${focused}"]`))?.focus();
  tell();
}
/** @param {At} p @param {number} s */
const cross = (p, s) => `M${p.x - s} ${p.y}h${2 * s}M${p.x} ${p.y - s}v${2 * s}`;

function tell() {
  const n = Number(choice.value), have = n ? touches(n).length : 0, line = document.getElementById("doing");
  const said = hand() === "rim" && !photo ? inWords("Lay a photograph under it first.")
    : hand() === "rim" ? onRim(named(n), have)
    : hand() === "along" ? (along.length ? inWords("%s of %s touched.", along.length, rows().length) : inWords("Touch the belt where it lies on each pulley, one after another, as it travels; the crank pulley first."))
    : photo ? "" : inWords("Drag each pulley to where it roughly is, or move it with the arrow keys.");
  if (line && line.textContent !== said) line.textContent = said;
}

/** @param {string} name of a pulley @param {number} have how often its rim was touched */
const onRim = (name, have) => have === 1 ? inWords("%s: 1 touch on its rim; three at least.", name)
  : have < 3 ? inWords("%s: %s touches on its rim; three at least.", name, have)
  : have < FIVE ? inWords("%s: %s touches on its rim; five on the two largest.", name, have) : inWords("%s: %s touches on its rim.", name, have);

/** Names the pulleys wherever one is chosen. */
function names() {
  const all = rows();
  for (const s of /** @type {NodeListOf<HTMLSelectElement>} */ (document.querySelectorAll("select[data-pulleys], #of"))) {
    const was = s.value;
    const options = all.map((n) => new Option(n + " " + named(n), String(n)));
    s.replaceChildren(...(s === choice ? [] : [new Option(inWords("choose"), "")]), ...options);
    s.value = all.includes(Number(was)) ? was : s === choice ? String(all[0] ?? "") : "";
  }
}

/** @type {AbortController | undefined} */
let running;
/** @type {number | undefined} */
let timer;
function soon() {
  clearTimeout(timer);
  timer = setTimeout(work, WAIT);
}

/** Asks the server, with pieces of the picture about the touches and nothing else of it. */
async function work() {
  const answer = /** @type {HTMLElement} */ (document.getElementById("answer"));
  running?.abort();
  running = new AbortController();
  answer.classList.add("late");
  try {
    const body = new FormData(form), signal = running.signal;
    body.append("live", "1");
    const cut = await pieces();
    if (cut) body.append("pieces", cut, "pieces.jpg");
    const reply = await fetch(form.action, { method: "POST", body, signal, headers: { Accept: "text/html" } });
    const page = new DOMParser().parseFromString(await reply.text(), "text/html"), next = page.getElementById("answer");
    if (next) {
      answer.replaceChildren(...next.childNodes);
      for (const out of /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll("output[data-of]"))) {
        const now = page.querySelector(`output[data-of="${out.dataset.of}"]`);
        out.textContent = now?.textContent ?? "";
        out.className = now?.className ?? "off";
      }
      draw();
    }
    answer.classList.remove("late");
  } catch (e) {
    if (!(e instanceof DOMException && e.name === "AbortError")) answer.classList.remove("late");
  }
}

/** The picture with all but what lies about touches left blank. @returns {Promise<Blob | null>} */
async function pieces() {
  const p = photo;
  if (!p) return null;
  const canvas = document.createElement("canvas"), pen = canvas.getContext("2d"), path = new Path2D();
  for (const n of rows()) {
    const t = touches(n), wide = Math.max(0, ...t.flatMap((a) => t.map((b) => Math.hypot(a.x - b.x, a.y - b.y))));
    for (const { x, y } of t) {
      path.moveTo(x, y);
      path.arc(x, y, 60 + 0.2 * wide, 0, 7);
    }
  }
  [canvas.width, canvas.height] = [p.w, p.h];
  if (!pen) return null;
  pen.fillStyle = "#888";
  pen.fillRect(0, 0, p.w, p.h);
  pen.clip(path);
  pen.drawImage(p.image, 0, 0, p.w, p.h);
  return new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.92));
}

/** @param {File} file */
async function lay(file) {
  const line = document.getElementById("doing");
  try {
    const image = await createImageBitmap(file, { imageOrientation: "from-image" });
    const part = Math.min(1, LONG / Math.max(image.width, image.height));
    if (photo) URL.revokeObjectURL(photo.url);
    photo = { image, url: URL.createObjectURL(file), w: Math.round(image.width * part), h: Math.round(image.height * part) };
  } catch {
    if (line) line.textContent = inWords("This device cannot read that picture (HEIC is one such sort). Set the camera to JPEG, and take it again.");
    return;
  }
  for (const [k, v] of [["w", photo.w], ["h", photo.h]]) /** @type {HTMLInputElement} */ (field(String(k))).value = String(v);
  const rim = /** @type {HTMLInputElement} */ (form.querySelector("[name=hand][value=rim]"));
  rim.checked = true;
  cursor = { x: photo.w / 2, y: photo.h / 2 };
  const look = document.querySelector("[name=hand][value=move] + span");
  if (look) look.textContent = inWords("Look around");
  draw();
  note();
}

/** How surely a finger touches: a third of a millimetre of glass, in px of the picture. */
function note() {
  const f = field("touch");
  if (f) f.value = Math.min(12, Math.max(3, scale() * 0.6)).toFixed(1);
}
/** Units of the drawing for one px of the screen. */
const scale = () => view().w / (stage.clientWidth * zoom || 1);

/** @param {PointerEvent} e @returns {At} */
function where(e) {
  const m = /** @type {SVGSVGElement} */ (stage.firstElementChild).getScreenCTM()?.inverse();
  const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(m);
  return { x: p.x, y: p.y };
}

/** Shows what lies under a finger. @param {At | null} at */
function look(at) {
  lens.hidden = !at || !photo;
  if (!at || !photo) return;
  const half = 50;
  if (lens.dataset.of !== photo.url) {
    const svg = el("svg", {});
    el("image", { href: photo.url, width: photo.w, height: photo.h }, svg);
    el("path", {}, svg);
    lens.replaceChildren(svg);
    lens.dataset.of = photo.url;
  }
  lens.querySelector("svg")?.setAttribute("viewBox", [at.x - half, at.y - half, 2 * half, 2 * half].join(" "));
  lens.querySelector("path")?.setAttribute("d", cross(at, half / 3));
  lens.classList.toggle("left", at.x > photo.w / 2);
}

/** Touches a place by hand, mouse or key. @param {At} at */
function touch(at) {
  const n = Number(choice.value);
  if (hand() === "rim" && photo && n) {
    setTouches(n, [...touches(n), at]);
    soon();
  } else if (hand() === "along") {
    along.push(at);
    if (along.length >= rows().length) follow();
  }
  draw();
}

/** Order and sides: each touch along the belt is the pulley whose rim is nearest; which way the belt turns about it, beside
 * the way it turns as a whole, tells which side of the belt lies on it. */
function follow() {
  const all = rows().filter((n) => !Number.isNaN(place(n).x));
  const off = (/** @type {At} */ t, /** @type {number} */ n) => Math.abs(Math.hypot(t.x - place(n).x, t.y - place(n).y) - place(n).r);
  const order = along.map((t) => all.reduce((best, n) => off(t, n) < off(t, best) ? n : best, all[0]));
  const area = along.reduce((sum, a, i) => sum + a.x * along[(i + 1) % along.length].y - a.y * along[(i + 1) % along.length].x, 0);
  if (new Set(order).size === all.length) {
    order.forEach((n, i) => {
      const before = along[(i + along.length - 1) % along.length], after = along[(i + 1) % along.length], c = place(n);
      const turn = (after.x - before.x) * (c.y - along[i].y) - (after.y - before.y) * (c.x - along[i].x);
      /** @type {HTMLInputElement} */ (field("o" + n)).value = String(i + 1);
      /** @type {HTMLInputElement} */ (field("s" + n)).value = turn * area > 0 ? "ribs" : "back";
    });
    along = [];
    draw();
    soon();
    return;
  }
  along = [];
  draw();
  const line = document.getElementById("doing");
  if (line) line.textContent = inWords("One pulley was touched twice and another not at all: once more, near each rim.");
}

stage.addEventListener("pointerdown", (e) => {
  if (e.button || hand() === "move" && photo) return;
  const from = where(e), k = scale();
  const g = /** @type {Element} */ (e.target).closest?.("g[data-n]");
  const n = hand() === "move" ? Number(g?.getAttribute("data-n")) : Number(choice.value);
  if (hand() === "move" && !n) return;
  e.preventDefault();
  stage.focus({ preventScroll: true });
  const start = n && hand() === "move" ? place(n) : from;
  let at = from;
  still = view();
  look(at);
  /** @param {PointerEvent} p */
  const move = (p) => {
    const slow = hand() === "rim" ? Math.max(1, k / 3) / k : 1, now = where(p);
    at = { x: from.x + slow * (now.x - from.x), y: from.y + slow * (now.y - from.y) };
    look(at);
    if (hand() === "move") put(n, { x: start.x + at.x - from.x, y: start.y + at.y - from.y });
  };
  const stop = new AbortController();
  const end = (/** @type {boolean} */ done) => {
    stop.abort();
    look(null);
    still = null;
    if (!done) return draw();
    cursor = at;
    if (hand() === "move") soon();
    else touch(at);
    draw();
  };
  addEventListener("pointermove", move, stop);
  addEventListener("pointerup", () => end(true), stop);
  addEventListener("pointercancel", () => end(false), stop);
});

/** @param {number} n @param {At} at */
function put(n, at) {
  /** @type {HTMLInputElement} */ (field("x" + n)).value = at.x.toFixed(0);
  /** @type {HTMLInputElement} */ (field("y" + n)).value = (-at.y).toFixed(0);
  draw();
}

/** @type {Record<string, [number, number]>} */
const keys = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
stage.addEventListener("keydown", (e) => {
  const way = keys[e.key], n = Number(/** @type {SVGElement} */ (e.target).dataset.n), step = (e.shiftKey ? 1 : 10) * (photo ? scale() : 1);
  if (way) {
    e.preventDefault();
    if (n) {
      const p = place(n);
      put(n, { x: p.x + way[0] * step, y: p.y + way[1] * step });
      soon();
      return;
    }
    cursor = { x: cursor.x + way[0] * step, y: cursor.y + way[1] * step };
    look(cursor);
    const at = /** @type {SVGElement | null} */ (stage.querySelector(".at")); // alone: the picture is slow to draw
    if (at) at.setAttribute("d", cross(cursor, Number(at.dataset.size)));
    else draw();
  } else if (e.key === "Enter" && !n) {
    e.preventDefault();
    touch(cursor);
  }
});
stage.addEventListener("focus", draw);
stage.addEventListener("blur", () => { look(null); draw(); });

/** @param {string} id @param {() => void} does */
const on = (id, does) => document.getElementById(id)?.addEventListener("click", does);
on("take", () => {
  const input = document.createElement("input");
  [input.type, input.accept, input.id, input.hidden] = ["file", "image/*", "chosen", true];
  document.getElementById("chosen")?.remove();
  document.body.append(input);
  input.addEventListener("change", () => { if (input.files?.[0]) lay(input.files[0]); });
  input.click();
});
on("next", () => {
  choice.selectedIndex = (choice.selectedIndex + 1) % Math.max(choice.options.length, 1);
  draw();
});
on("undo", () => {
  if (hand() === "along") along.pop();
  else {
    setTouches(Number(choice.value), touches(Number(choice.value)).slice(0, -1));
    soon();
  }
  draw();
});
for (const [id, by] of /** @type {[string, number][]} */ ([["closer", 1.5], ["wider", 1 / 1.5]])) on(id, () => {
  const was = zoom, middle = [stage.scrollLeft + stage.clientWidth / 2, stage.scrollTop + stage.clientHeight / 2];
  zoom = Math.min(12, Math.max(1, zoom * by));
  draw();
  stage.scrollTo(middle[0] * zoom / was - stage.clientWidth / 2, middle[1] * zoom / was - stage.clientHeight / 2);
  note();
});
document.getElementById("more")?.addEventListener("click", (e) => {
  e.preventDefault();
  for (const list of ["#pulleys", "#places"]) document.querySelector(list + " fieldset[hidden]")?.removeAttribute("hidden");
  const shown = [...document.querySelectorAll("#pulleys fieldset:not([hidden])")];
  shown.at(-1)?.querySelector("input")?.focus();
});
form.addEventListener("input", (e) => {
  const name = /** @type {HTMLInputElement} */ (e.target).name;
  if (name === "hand") along = [];
  if (/^[pdt]\d/.test(name)) names();
  const last = document.querySelector("#measures fieldset:not([hidden]):nth-last-child(1 of :not([hidden]))");
  if (e.target instanceof Node && last?.contains(e.target)) last.nextElementSibling?.removeAttribute("hidden");
  draw();
  if (name !== "hand" && e.target !== choice) soon();
});
form.addEventListener("submit", (e) => {
  e.preventDefault();
  clearTimeout(timer);
  work();
});
bench.hidden = false;
names();
draw();

export {}; // a module of its own, whatever others call their things
