// @ts-check
// Pictures from the camera or a file: reduced on this device, kept here until the
// server has them, and each sent once. One taken in a round goes with that round.

import { draftOf, newID } from "./draft.js";
import { head, lineBy, tell } from "./outbox.js";
import { inWords } from "./words.js";

const long = 3200; // px on the longer side, as the server keeps them
const atOnce = 3; // are sent
const flag = "pictures"; // how many wait, in localStorage while some do

/** @typedef {{batch: string, round: string, vehicle: string, action: string, fields: [string, string][], picture: Blob, part?: Blob}} Shot */

/** @type {Promise<IDBDatabase> | undefined} */
let opened;
const store = () => opened ??= new Promise((done, fail) => {
  const open = indexedDB.open("pictures", 1);
  open.onupgradeneeded = () => { open.result.createObjectStore("waiting", { keyPath: "batch" }); };
  open.onsuccess = () => done(open.result);
  open.onerror = () => fail(open.error);
});

/**
 * Asks the store something, and answers once what was asked is kept.
 * @template T @param {"readonly" | "readwrite"} mode @param {(s: IDBObjectStore) => IDBRequest<T>} what @returns {Promise<T>}
 */
async function ask(mode, what) {
  const db = await store();
  return new Promise((done, fail) => {
    const work = db.transaction("waiting", mode, { durability: "strict" }), asked = what(work.objectStore("waiting"));
    work.oncomplete = () => done(asked.result);
    work.onabort = work.onerror = () => fail(work.error ?? asked.error);
  });
}

/** Notes how many wait. */
async function count() {
  const n = await ask("readonly", (s) => s.count());
  if (n) localStorage.setItem(flag, String(n));
  else localStorage.removeItem(flag);
  head();
}

/**
 * Upright, no longer than it is kept, and without a word of where it was taken; what is framed to be measured at full size.
 * @param {Blob} file @param {boolean} measured @returns {Promise<{picture: Blob, part?: Blob, at: [string, string][]}>}
 */
async function reduced(file, measured) {
  const whole = await createImageBitmap(file, { imageOrientation: "from-image" });
  try {
    const larger = measured && Math.max(whole.width, whole.height) > long;
    const box = larger ? await import("./frame.js").then(({ framed }) => framed(whole), () => null) : null;
    const picture = await coded(whole, 0, 0, whole.width, whole.height);
    if (!box) return { picture, at: [] };
    const at = [box[0], box[1], box[0] + box[2], box[1] + box[3]].map((v) => v / whole.width).join(" ");
    return { picture, part: await coded(whole, ...box), at: [["at", at]] };
  } finally { whole.close(); }
}

/** @param {ImageBitmap} whole @param {number} x @param {number} y @param {number} w @param {number} h @returns {Promise<Blob>} */
async function coded(whole, x, y, w, h) {
  const part = Math.min(1, long / Math.max(w, h));
  const canvas = document.createElement("canvas"), pen = canvas.getContext("2d");
  [canvas.width, canvas.height] = [Math.round(w * part), Math.round(h * part)];
  if (!pen) throw new Error("no canvas");
  pen.imageSmoothingQuality = "high";
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(whole, x, y, w, h, 0, 0, canvas.width, canvas.height);
  return new Promise((done, fail) => canvas.toBlob((b) => b ? done(b) : fail(new Error("not coded")), "image/jpeg", 0.92));
}

/**
 * Keeps a picture on this device, or returns why it is not kept.
 * @param {File} file @param {Omit<Shot, "picture">} shot @param {boolean} measured
 */
async function take(file, shot, measured) {
  let kept;
  try { kept = await reduced(file, measured); } catch {
    return inWords("This device cannot read that picture (HEIC is one such sort). Set the camera to JPEG, and take it again.");
  }
  try {
    if (!localStorage.getItem(flag)) localStorage.setItem(flag, "1");
    await ask("readwrite", (s) => s.put({ ...shot, ...kept, fields: [...shot.fields, ...kept.at] }));
    await count(); // what was sending meanwhile may have found none and said so
  } catch {
    await count().catch(() => {});
    return inWords("This device is full: the picture is not kept. Free some room, and take it again.");
  }
  return "";
}

/** Whether the round that a picture was taken in has not been kept yet. @param {Shot} shot */
const open = (shot) => shot.round !== "" && (localStorage.getItem("waiting " + shot.round) !== null ||
  draftOf(shot.vehicle)?.fields.some(([name, value]) => name === "batch" && value === shot.round) === true);

/** Counts at the end of a round the pictures that go with it. */
async function ofRound() {
  const line = document.querySelector("[data-shots]"), form = round();
  if (!line || !form) return;
  const batch = new FormData(form).get("batch"), all = await ask("readonly", (s) => s.getAll());
  const n = all.filter((shot) => shot.round === batch).length;
  line.textContent = n === 1 ? inWords("1 picture goes with this round.") : n ? inWords("%s pictures go with this round.", n) : "";
}

/** @returns {HTMLFormElement | null} */
const round = () => /** @type {HTMLFormElement | null} */ (document.getElementById("round"));

/** Sends what waits, several at once: while one is on its way the server looks at another. @returns {Promise<Shot[]>} what the server has now */
async function send() {
  /** @type {Shot[]} */
  const sent = [];
  const batches = await ask("readonly", (s) => s.getAllKeys());
  let first = true, stop = false, full = "";
  /** @param {Shot} shot */
  async function one(shot) {
    const body = new FormData();
    for (const [name, value] of [["batch", shot.batch], ["sent", String(Date.now())], ...shot.fields]) body.append(name, value);
    body.append("picture", shot.picture, "picture.jpg");
    if (shot.part) body.append("part", shot.part, "part.jpg");
    const answer = await fetch(shot.action, { method: "POST", body, headers: { Accept: "application/json" } });
    const json = answer.headers.get("Content-Type")?.startsWith("application/json");
    if (answer.redirected) {
      stop = true;
      return tell(lineOf(), inWords("Pictures wait on this device until somebody is let in."), answer.url, inWords("Let me in"));
    }
    if (answer.status === 201 && json) {
      sent.push(shot);
      full = (await answer.json()).room || full;
    } else {
      /** @type {{errors?: {error: string, hint: string}[]}} */
      const said = json ? await answer.json() : {};
      const why = said.errors?.map((e) => e.error + ". " + e.hint).join(" ") ?? "";
      if (first && why) tell(lineOf(), inWords("A picture that waits on this device was not taken: %s.", why));
      first = false;
      if (answer.status !== 422) return; // it may be taken another time
    }
    await ask("readwrite", (s) => s.delete(shot.batch));
  }
  async function line() {
    for (let batch = batches.shift(); batch !== undefined && !stop; batch = batches.shift()) {
      const key = batch;
      /** @type {Shot | undefined} */
      const shot = await ask("readonly", (s) => s.get(key));
      if (!shot) continue; // another tab was quicker
      if (localStorage.getItem("dropped") === shot.round && shot.round) await ask("readwrite", (s) => s.delete(key));
      else if (!open(shot)) await one(shot).catch(() => { stop = true; }); // nobody answers
    }
  }
  await Promise.all(Array.from({ length: atOnce }, line));
  await count();
  if (sent.length) tell(lineOf(), (sent.length === 1 ? inWords("A picture is kept.") : inWords("%s pictures are kept.", sent.length)) + (full && " " + full), "/v/" + sent[0].vehicle + "/pictures", inWords("See"));
  return sent;
}

/** What was touched last to take one. @type {Element | undefined} */
let touched;
const lineOf = () => lineBy(touched?.isConnected ? touched : null);

/** @type {Promise<Shot[]> | undefined} */
let sending;
/** Sends one after the other: what is asked meanwhile is done after it. */
const flush = () => sending = (sending ?? Promise.resolve([])).then(send, send);

/** Lets a picture be taken, or a file be chosen. @param {(file: File) => void} with_ */
function choose(with_) {
  const input = document.createElement("input");
  input.type = "file";
  input.accept = "image/*";
  input.id = "chosen";
  input.hidden = true;
  document.getElementById("chosen")?.remove();
  document.body.append(input); // some browsers let go of one that stands nowhere
  input.addEventListener("change", () => { if (input.files?.[0]) with_(input.files[0]); });
  input.click();
}

/** @param {Iterable<[string, FormDataEntryValue]>} from @returns {[string, string][]} */
const fieldsOf = (from) => [...from].filter(([name, value]) => typeof value === "string" && value !== "" && name !== "batch").map(([name, value]) => [name, String(value)]);

/** @param {string} action */
const vehicleOf = (action) => new URL(action, location.href).pathname.split("/")[2];

const typed = () => /** @type {[string, string]} */ (["typed", String(Date.now())]);

/** Takes one about what a link names. @param {HTMLAnchorElement} link */
function about(link) {
  const to = new URL(link.href), fields = fieldsOf(to.searchParams);
  choose(async (file) => {
    const shot = { batch: newID(), round: "", vehicle: vehicleOf(link.href), action: to.pathname, fields: [...fields, typed()] };
    touched = link;
    const wrong = await take(file, shot, true);
    if (wrong) return tell(lineOf(), wrong);
    link.textContent = inWords("The picture is kept on this device");
    const sent = await flush();
    if (sent.some((s) => s.batch === shot.batch)) link.textContent = inWords("The picture is kept");
  });
}

/** Takes one within a round. @param {HTMLFormElement} form @param {{position: string, check: string, measured: boolean, button: HTMLElement}} of */
function inRound(form, of) {
  const data = new FormData(form), batch = String(data.get("batch"));
  choose(async (file) => {
    /** @type {[string, string][]} */
    const fields = [["position", of.position], ["check", of.check], ["date", String(data.get("date"))], typed()];
    const shot = { batch: newID(), round: batch, vehicle: document.body.dataset.vehicle ?? "", action: "/v/" + document.body.dataset.vehicle + "/pictures", fields: fields.filter(([, v]) => v !== "") };
    const wrong = await take(file, shot, of.measured);
    of.button.textContent = wrong ? inWords("Not kept") : inWords("Kept");
    if (!wrong) return ofRound();
    const p = document.createElement("p");
    p.className = "caution";
    p.setAttribute("role", "alert");
    p.textContent = wrong;
    of.button.parentElement?.before(p);
    form.addEventListener("click", () => p.remove(), { once: true });
  });
}

document.addEventListener("click", (event) => {
  const link = /** @type {Element} */ (event.target).closest?.("a[data-shot]");
  if (!(link instanceof HTMLAnchorElement) || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  about(link);
});
round()?.addEventListener("shot", (event) => { inRound(/** @type {HTMLFormElement} */ (round()), /** @type {CustomEvent} */ (event).detail); });
const form = /** @type {HTMLFormElement | null} */ (document.getElementById("shot"));
form?.addEventListener("submit", async (event) => {
  const file = /** @type {HTMLInputElement} */ (form.querySelector("[type=file]")).files?.[0];
  if (!file) return;
  event.preventDefault();
  const data = new FormData(form);
  const shot = { batch: String(data.get("batch")), round: "", vehicle: vehicleOf(form.action), action: new URL(form.action).pathname, fields: [...fieldsOf(data), typed()] };
  touched = form.querySelector("button.main") ?? undefined;
  const wrong = await take(file, shot, true);
  if (wrong) return tell(lineOf(), wrong);
  tell(lineOf(), inWords("Waits on this device and goes by itself."));
  const sent = await flush();
  if (!sent.some((s) => s.batch === shot.batch)) return;
  const of = new URLSearchParams(shot.fields.filter(([name]) => name === "position" || name === "opening"));
  location.assign(form.action + "?" + of);
});
ofRound();
addEventListener("online", flush);
addEventListener("kept", flush);
flush();
