// @ts-check
// Counts cracks on a photograph of a belt, or measures an outline: reads it on this device or on the server, shows ribs and
// marks over it, lets marks be struck out and added by touch, and says at once what that means. Nothing is judged here.

import { meaningOf, tableOf, word } from "./meaning.js";
import { inWords } from "./words.js";

/** @typedef {{path: string, x: number, y: number, out?: boolean, hand?: boolean, says: string}} Drawn */
/**
 * @typedef {{width: number, height: number, out?: number[], stops: boolean, said?: {wrong: string, better: string, stops: boolean}[],
 *   value: number, closest?: number, low: number, high: number, figure: string, unit: string, answer?: string, else?: string[], of?: string, headline: string, basis: string[], turn: number, view: string, lines: string[], drawn: Drawn[], loose: Drawn[]}} Seen
 */

const long = 3200; // px on the longer side, as the server keeps pictures
const near = 22; // px on the screen: as far as a finger misses a mark

/** @template {Element} T @param {string} id @returns {T} */
const get = (id) => /** @type {T} */ (/** @type {unknown} */ (document.getElementById(id)));
/** @type {HTMLFormElement} */
const take = get("take");
/** @type {HTMLFormElement} */
const keep = get("keep");
/** @type {HTMLElement} */
const bar = /** @type {HTMLElement} */ (document.querySelector(".keepbar"));
/** @type {HTMLElement} */
const belt = get("belt");
/** @type {HTMLElement} */
const tally = get("tally");

/** @type {Seen | undefined} */
let seen;
/** What the reader is told. @type {{of?: string, pitch?: number}} */
const options = JSON.parse(take.dataset.read ?? "{}");
/** The picture that is counted on, where it is not kept yet. @type {Blob | undefined} */
let picture;
let address = ""; // of it
/** One after the other. @type {Promise<unknown>} */
let turn = Promise.resolve();

/** @type {Worker | undefined} */
let worker;
let asked = 0;
/** @type {Map<number, {done: (seen: Seen) => void, fail: (e: Error & {lost?: boolean}) => void}>} */
const waiting = new Map();

/** Asks the reader on this device. @param {object} message @param {Transferable[]} [hand] @returns {Promise<Seen>} */
function ask(message, hand = []) {
  if (!worker) {
    worker = new Worker(take.dataset.worker ?? "");
    worker.addEventListener("message", ({ data }) => {
      const who = waiting.get(data.id);
      waiting.delete(data.id);
      if (data.seen) who?.done(JSON.parse(data.seen));
      else who?.fail(Object.assign(new Error(data.lost ? inWords("The reader does not start.") : inWords("The picture cannot be read. Send one of 200 to 5000 pixels either way.")), { lost: data.lost }));
    });
    worker.addEventListener("error", () => {
      for (const who of waiting.values()) who.fail(Object.assign(new Error(inWords("The reader does not start.")), { lost: true }));
      waiting.clear();
      worker = undefined;
    });
  }
  return new Promise((done, fail) => {
    waiting.set(++asked, { done, fail });
    worker?.postMessage({ id: asked, ...message }, hand);
  });
}

/** Asks the server. @param {[string, string | Blob][]} fields @returns {Promise<Seen>} */
async function askServer(fields) {
  const body = new FormData(take);
  body.delete("picture");
  for (const [name, value] of fields) body.append(name, value);
  const answer = await fetch(take.action, { method: "POST", body, headers: { Accept: "application/json" } }).catch(() => {
    throw new Error(inWords("The server is not reached. Try again when there is a connection."));
  });
  const said = await answer.json();
  if (!answer.ok) throw new Error(wrong(said));
  return said;
}

/** @param {{errors?: {error: string, hint: string}[]}} said */
const wrong = (said) => said.errors?.map((e) => e.error + ". " + e.hint).join(". ") ?? inWords("The server did not take it");

const here = () => take.dataset.worker !== "" && new FormData(take).get("where") !== "server";

/** Upright, no longer than it is kept, and without a word of where it was taken. @param {Blob} file */
async function reduced(file) {
  const whole = await createImageBitmap(file, { imageOrientation: "from-image" });
  const part = Math.min(1, long / Math.max(whole.width, whole.height));
  const { canvas } = drawn(whole, Math.round(whole.width * part), Math.round(whole.height * part));
  whole.close();
  return new Promise((/** @type {(b: Blob) => void} */ done, fail) => canvas.toBlob((b) => b ? done(b) : fail(new Error("not coded")), "image/jpeg", 0.92));
}

/** @param {ImageBitmap} whole @param {number} width @param {number} height */
function drawn(whole, width, height) {
  const canvas = document.createElement("canvas"), pen = canvas.getContext("2d", { willReadFrequently: true });
  [canvas.width, canvas.height] = [width, height];
  if (!pen) throw new Error(inWords("This browser does not draw pictures."));
  pen.imageSmoothingQuality = "high";
  pen.drawImage(whole, 0, 0, width, height);
  return { canvas, pen };
}

/** The light of a picture as JPEG has it (ITU-T T.871), a byte a pixel. @param {Blob} blob */
async function lightOf(blob) {
  const whole = await createImageBitmap(blob), { width, height } = whole, { pen } = drawn(whole, width, height);
  whole.close();
  const rgba = pen.getImageData(0, 0, width, height).data, light = new Uint8Array(width * height);
  for (let i = 0; i < light.length; i++) light[i] = 0.299 * rgba[4 * i] + 0.587 * rgba[4 * i + 1] + 0.114 * rgba[4 * i + 2] + 0.5;
  return { light, width, height };
}

/** The focal length that a file tells, as px of a picture of that size; 0 for none (CIPA DC-008, tag 0xa405). @param {Blob} file @param {number} width @param {number} height */
async function focalOf(file, width, height) {
  const view = new DataView(await file.slice(0, 131072).arrayBuffer());
  try {
    let at = 2;
    while (view.getUint16(at) !== 0xffe1 || view.getUint32(at + 4) !== 0x45786966) {
      if (view.getUint16(at) < 0xffc0 || view.getUint16(at) === 0xffda) return 0;
      at += 2 + view.getUint16(at + 2);
    }
    const tiff = at + 10, small = view.getUint16(tiff) === 0x4949;
    /** @param {number} table @param {number} tag @returns {number} */
    const entry = (table, tag) => {
      for (let i = view.getUint16(table, small) - 1; i >= 0; i--) if (view.getUint16(table + 2 + 12 * i, small) === tag) return table + 2 + 12 * i;
      throw new Error("it does not tell");
    };
    const more = tiff + view.getUint32(entry(tiff + view.getUint32(tiff + 4, small), 0x8769) + 8, small);
    const film = view.getUint16(entry(more, 0xa405) + 8, small);
    return film >= 5 && film <= 2000 ? film / Math.hypot(36, 24) * Math.hypot(width, height) : 0;
  } catch { return 0; }
}

/** Reads a picture and shows what is seen. @param {Blob} file */
async function read(file) {
  get("ask").setAttribute("hidden", "");
  get("seen").removeAttribute("hidden");
  get("wrong").replaceChildren();
  get("trouble").textContent = "";
  keep.hidden = bar.hidden = true;
  tally.textContent = inWords("Reading the picture…");
  try { picture = await reduced(file); } catch {
    return refused(inWords("This device cannot read that picture (HEIC is one such sort). Set the camera to JPEG, and take it again."));
  }
  URL.revokeObjectURL(address);
  address = URL.createObjectURL(picture);
  const img = document.createElement("img");
  [img.src, img.alt] = [address, inWords("The picture")];
  belt.replaceChildren(img);
  const sent = picture, onServer = () => askServer([["do", "read"], ["picture", sent]]);
  try {
    if (!here()) return show(await onServer());
    const { light, width, height } = await lightOf(picture);
    const focal = await focalOf(file, width, height);
    try { show(await ask({ light, width, height, told: JSON.stringify({ ...options, focal }) }, [light.buffer])); } catch (e) {
      if (!(/** @type {{lost?: boolean}} */ (e).lost)) throw e;
      tally.textContent = inWords("The reader does not run on this device: reading on the server…");
      take.dataset.worker = "";
      show(await onServer());
    }
  } catch (e) { refused(/** @type {Error} */ (e).message); }
}

/** @param {string} why */
function refused(why) {
  tally.textContent = why;
  get("means").textContent = "";
}

/** Counts again once a mark was struck out or put back, or one is added at a point of the picture. @param {number} [x] @param {number} [y] */
async function again(x, y) {
  const text = JSON.stringify(seen);
  show(await (here() ? ask({ told: take.dataset.read, seen: text, x, y }) : askServer([["do", "again"], ["seen", text], .../** @type {[string, string][]} */ (x === undefined ? [] : [["x", String(x)], ["y", String(y)]])])));
}

/** @param {() => Promise<void>} what */
const next = (what) => { turn = turn.then(what).catch((e) => { get("trouble").textContent = inWords("It was not counted again: %s", e.message); }); };

/** @param {number} i */
function strike(i) {
  if (!seen) return;
  const out = seen.out ?? [];
  seen.out = out.includes(i) ? out.filter((n) => n !== i) : [...out, i];
}

/** @param {string} name @param {Record<string, string | number>} attributes @param {...Element} inside */
function svg(name, attributes, ...inside) {
  const out = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) out.setAttribute(key, String(value));
  out.append(...inside);
  return out;
}

/** @param {Seen} now */
function show(now) {
  const before = belt.scrollTop;
  seen = now;
  /** @type {HTMLElement} */ (document.querySelector("h1")).textContent = now.headline;
  get("wrong").replaceChildren(...(now.said ?? []).map((s) => {
    const li = document.createElement("li"), b = document.createElement("b");
    b.textContent = s.wrong;
    li.append(b, " " + s.better);
    if (s.stops) li.className = "stops";
    return li;
  }));
  keep.hidden = bar.hidden = now.stops;
  get("touch").toggleAttribute("hidden", now.stops);
  belt.classList.toggle("live", !now.stops);
  if (now.stops) return refused(inWords("Take another picture."));
  const sheet = svg("g", { transform: "rotate(" + now.turn + ")" }, svg("image", { href: address, width: now.width, height: now.height }),
    ...now.lines.map((d) => svg("path", { class: "rib", d })),
    ...now.drawn.flatMap((m, i) => [svg("path", { class: "under", d: m.path }), svg("path", { class: "crack" + (m.hand ? " hand" : "") + (m.out ? " out" : ""), d: m.path, "data-n": i })]),
    ...now.loose.map((m) => svg("path", { class: "loose", d: m.path })));
  belt.replaceChildren(svg("svg", { viewBox: now.view, "aria-hidden": "true" }, sheet));
  belt.scrollTop = before;
  told(now);
  get("basis").replaceChildren(...now.basis.map((line) => Object.assign(document.createElement("li"), { textContent: line })));
  get("ticks").replaceChildren(...now.drawn.map((m, i) => {
    const label = document.createElement("label"), tick = document.createElement("input");
    label.className = "tick";
    Object.assign(tick, { type: "checkbox", name: "on", value: String(i), checked: !m.out });
    label.append(tick, m.says);
    return label;
  }));
}

/** Says the count and what it means. @param {Seen} now */
function told(now) {
  const b = document.createElement("b");
  b.textContent = now.figure;
  tally.replaceChildren(b, " " + now.unit);
  const table = tableOf(keep);
  /** @type {{field: string, each: number, answers?: string[]}[]} */
  const asked = JSON.parse(take.dataset.asked ?? "[]");
  /** @type {string[]} */
  const graver = JSON.parse(take.dataset.graver ?? "[]");
  /** What so many mean, and those that stand closest: the graver of both. @param {number} n */
  const means = (n) => asked.map((a, i) => table && meaningOf(table, Object.assign(document.createElement("input"), { name: a.field, value: String((i ? now.closest ?? 0 : n) * a.each) })))
    .reduce((a, b) => a && b && graver.indexOf(b[0]) > graver.indexOf(a[0]) ? b : a);
  /** What an answer in words means. @param {string} id */
  const says = (id) => table?.m[table.t[table.c[asked[0].field]]?.a?.[asked[0].answers?.indexOf(id) ?? -1] ?? -1];
  const found = now.answer ? says(now.answer) : means(now.value);
  get("means").replaceChildren(...(found ? [word(found), ": " + found[2]] : []));
  if (now.answer) {
    const may = now.else?.map(says).find((m) => m && m[1] !== found?.[1]);
    get("edge").textContent = may ? inWords("Within its error it would be: %s.", may[1]) : "";
    return;
  }
  const other = [now.high, now.low].map((n) => ({ n, m: means(n) })).filter(({ m }) => m && found && m[1] !== found[1]).pop();
  get("edge").textContent = other ? inWords("At %s it would be: %s.", other.n, other.m?.[1] ?? "") : "";
}

belt.addEventListener("click", (event) => {
  const sheet = /** @type {SVGGElement | null} */ (belt.querySelector("svg g"));
  const to = sheet?.getScreenCTM();
  if (!seen || seen.stops || !sheet || !to) return;
  const touched = new DOMPoint(event.clientX, event.clientY);
  let best = near, which = -1;
  for (const mark of /** @type {NodeListOf<SVGPathElement>} */ (sheet.querySelectorAll("[data-n]"))) {
    for (let i = 0, far = mark.getTotalLength(); i <= 8; i++) {
      const p = mark.getPointAtLength(i / 8 * far).matrixTransform(to), off = Math.hypot(p.x - touched.x, p.y - touched.y);
      if (off < best) [best, which] = [off, Number(mark.dataset.n)];
    }
  }
  const at = touched.matrixTransform(to.inverse());
  next(async () => {
    if (which < 0) return options.of ? undefined : again(at.x, at.y);
    strike(which);
    await again();
  });
});
get("ticks").addEventListener("change", ({ target }) => next(async () => {
  strike(Number(/** @type {HTMLInputElement} */ (target).value));
  await again();
}));

keep.addEventListener("submit", async (event) => {
  if (!seen) return;
  event.preventDefault();
  await turn;
  const body = new FormData(keep), trouble = get("trouble");
  body.set("do", "keep");
  body.set("seen", JSON.stringify(seen));
  for (const name of ["on", "ticks"]) body.delete(name);
  if (picture) body.set("picture", picture, "picture.jpg");
  trouble.textContent = "";
  try {
    const answer = await fetch(keep.action, { method: "POST", body, headers: { Accept: "application/json" } });
    if (answer.redirected) return location.assign(answer.url);
    const said = await answer.json();
    if (said.kept) location.assign(said.kept);
    else {
      trouble.textContent = wrong(said);
      /** @type {HTMLInputElement} */ (keep.elements.namedItem("sure")).labels?.[0].removeAttribute("hidden");
      trouble.scrollIntoView({ block: "center" });
    }
  } catch { trouble.textContent = inWords("The server is not reached: nothing is kept yet. Leave this page open, and press again."); }
});

/** @type {HTMLInputElement} */
const photo = get("photo");
take.addEventListener("submit", (event) => {
  const file = photo.files?.[0];
  if (!file) return;
  event.preventDefault();
  next(() => read(file));
});
photo.addEventListener("change", () => { if (photo.files?.[0]) next(() => read(/** @type {File} */ (photo.files?.[0]))); });
const camera = get("camera");
if (!("mediaDevices" in navigator)) camera.textContent = inWords("Over plain HTTP the camera cannot be guided: choose a photograph, or take one with it.");
else {
  camera.querySelector("button")?.addEventListener("click", async () => {
    const { view } = await import(take.dataset.camera ?? "");
    const taken = await view(options.of ? 0 : options.pitch ?? 0);
    if (taken) next(() => read(taken));
  });
}
const was = /** @type {HTMLInputElement} */ (keep.elements.namedItem("seen")).value;
take.dataset.ready = "";
if (was) { // counted before: it goes on from there
  address = belt.querySelector("image, img")?.getAttribute(belt.querySelector("image") ? "href" : "src") ?? "";
  show(JSON.parse(was));
}
