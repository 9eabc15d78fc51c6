// @ts-check
// Guides the camera to a picture of a belt that can be counted on: lines to lay the ribs along, and a word on what to
// change, judged five times a second on small pieces of the film.

import { inWords } from "./words.js";

const each = 180; // ms: five times a second, and some time to spare
const piece = 160; // px a side of what is judged
const least = 10, most = 45; // px per mm
const lines = 6;
const inner = [0.6, 0.4, 0.25]; // shares of the film's shorter side on which ribs are looked for: one lies within the belt
const rows = 16; // of a piece that are taken together along the ribs, for grain to count for little

/**
 * What a piece of film tells: px from rib to rib, sharpness, contrast and light. Ribs run down. The sharpness is the
 * variance of the second difference across over that of the light, of a piece that was not reduced.
 * @param {Uint8ClampedArray} wide RGBA of the middle, reduced @param {Uint8ClampedArray} close RGBA of its middle, not reduced
 */
export function judged(wide, close) {
  const profile = new Float64Array(piece);
  for (let y = piece / 2 - 16; y < piece / 2 + 16; y++) for (let x = 0; x < piece; x++) profile[x] += wide[4 * (y * piece + x) + 1] / 32;
  const mean = profile.reduce((a, b) => a + b) / piece, flat = profile.map((v, x) => {
    let sum = 0, n = 0;
    for (let i = Math.max(0, x - 24); i <= Math.min(piece - 1, x + 24); i++, n++) sum += profile[i];
    return v - sum / n;
  });
  const power = flat.reduce((a, v) => a + v * v, 0) || 1;
  const like = Array.from({ length: 65 }, (_, lag) => { // to itself, so many px further
    let sum = 0;
    for (let x = lag; x < piece; x++) sum += flat[x] * flat[x - lag];
    return sum * piece / (piece - lag) / power;
  });
  const trough = like.findIndex((v, lag) => lag > 1 && v < 0.1), peaks = like.map((v, lag) => trough > 0 && lag > trough && v >= like[lag - 1] && v >= (like[lag + 1] ?? 0) ? v : 0);
  const clear = Math.max(...peaks), pitch = peaks.findIndex((v) => v > 0 && v > 0.8 * clear); // the first, not a multiple
  /** @param {number} x @param {number} y */
  const at = (x, y) => close[4 * (y * piece + x) + 1];
  let light = 0, square = 0, bend = 0, n = 0;
  for (let y = 0; y < piece; y += rows) {
    const line = Array.from({ length: piece }, (_, x) => {
      let sum = 0;
      for (let i = 0; i < rows; i++) sum += at(x, y + i);
      return sum / rows;
    });
    for (let x = 2; x < piece - 2; x++, n++) {
      light += line[x];
      square += line[x] ** 2;
      bend += (line[x - 2] - 2 * line[x] + line[x + 2]) ** 2;
    }
  }
  light /= n;
  return { pitch: clear > 0.3 ? pitch : 0, clear, sharp: bend / n / (square / n - light * light + 4), contrast: Math.sqrt(power / piece) / (mean + 1), light, flat };
}

/**
 * What to change, in few words; "" where the picture may be taken. Its thresholds were chosen on drawn belts: a blur of 2.5 px
 * on ribs of 15 px a mm is still found, less is left to the reader.
 * @param {ReturnType<typeof judged>} of @param {number} perMM px of the film from mm to mm, 0 where no ribs are found
 * @param {ReturnType<typeof judged>} [before] the piece of film before it
 */
export function advice(of, perMM, before) {
  if (lit(of)) return lit(of);
  if (!perMM) return of.contrast < 0.03 ? inWords("Light from the side") : inWords("Lay the ribs along the lines");
  if (perMM < least) return inWords("Closer");
  if (perMM > most) return inWords("Further away");
  if (of.sharp * perMM / 15 < 0.055 || before && moved(of.flat, before.flat) > 0.5) return inWords("Hold still");
  return of.contrast < 0.03 ? inWords("Light from the side") : "";
}

/** @param {ReturnType<typeof judged>} of */
const lit = (of) => of.light < 30 ? inWords("More light, from the side") : "";

/** How much of what is seen went elsewhere from one piece of film to the next, as a share of what there is. @param {Float64Array} now @param {Float64Array} before */
function moved(now, before) {
  let off = 0, all = 1;
  for (let x = 0; x < piece; x++) [off, all] = [off + Math.abs(now[x] - before[x]), all + Math.abs(now[x])];
  return off / all;
}

/** Shows the camera and gives a picture, or null where it was closed. @param {number} pitch of the ribs to lay along its lines, mm; 0 for what has none @returns {Promise<Blob | null>} */
export async function view(pitch) {
  const dialog = document.createElement("dialog");
  dialog.className = "view";
  dialog.setAttribute("aria-label", inWords("Camera"));
  const paths = !pitch ? '<path d="M40 50H60M50 40V60"/>' : Array.from({ length: lines + 1 }, (_, i) => `<path${i % lines ? "" : ' class="edge"'} d="M${20 + 60 * i / lines} 0V100"/>`).join("");
  dialog.innerHTML = `<video autoplay playsinline muted></video><svg viewBox="0 0 100 100" preserveAspectRatio="none" aria-hidden="true">${paths}</svg>
<p class="says" role="status">${inWords("The camera starts…")}</p><p class="do"><button class="main">${inWords("Take it")}</button><button>${inWords("Close")}</button></p>`;
  document.body.append(dialog);
  dialog.showModal();
  const film = /** @type {HTMLVideoElement} */ (dialog.querySelector("video")), says = /** @type {HTMLElement} */ (dialog.querySelector(".says"));
  const [shoot, close] = dialog.querySelectorAll("button");
  /** @type {MediaStream | undefined} */
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ audio: false, video: { facingMode: "environment", width: { ideal: 2560 }, height: { ideal: 1920 } } });
    film.srcObject = stream;
  } catch { says.textContent = inWords("The camera cannot be used: close this, and choose a file."); }
  const canvas = document.createElement("canvas"), pen = canvas.getContext("2d", { willReadFrequently: true });
  [canvas.width, canvas.height] = [piece, piece];
  /** @type {{side: number, of: ReturnType<typeof judged>} | undefined} */
  let before;
  const judging = setInterval(() => {
    const { videoWidth: w, videoHeight: h } = film;
    if (!w || !pen) return;
    /** @param {number} side */
    const middle = (side) => {
      pen.drawImage(film, (w - side) / 2, (h - side) / 2, side, side, 0, 0, piece, piece);
      return pen.getImageData(0, 0, piece, piece).data;
    };
    const close = middle(piece);
    if (!pitch) return say(lit(judged(close, close)));
    /** @param {number} side */
    const at = (side) => ({ side, of: judged(middle(side), close) });
    const again = before && at(before.side); // where ribs stood out they do still: the other sizes would cost time
    const { side, of } = again && again.of.clear > 0.6 ? again
      : inner.map((part) => at(part * Math.min(w, h))).reduce((a, b) => b.of.clear > a.of.clear ? b : a);
    const what = advice(of, of.pitch * side / piece / pitch, before?.side === side ? before.of : undefined);
    before = { side, of };
    say(what);
  }, each);
  /** @param {string} what to change */
  function say(what) {
    dialog.classList.toggle("good", !what);
    const words = what || inWords("Good: take it");
    if (says.textContent !== words) says.textContent = words;
  }
  const picture = await new Promise((/** @type {(b: Blob | null) => void} */ done) => {
    close.addEventListener("click", () => done(null));
    dialog.addEventListener("cancel", () => done(null));
    shoot.addEventListener("click", () => {
      const { videoWidth: w, videoHeight: h } = film, whole = document.createElement("canvas");
      if (!w) return;
      [whole.width, whole.height] = [w, h];
      whole.getContext("2d")?.drawImage(film, 0, 0);
      whole.toBlob(done, "image/jpeg", 0.95);
    });
  });
  clearInterval(judging);
  for (const track of stream?.getTracks() ?? []) track.stop();
  dialog.remove();
  return picture;
}
