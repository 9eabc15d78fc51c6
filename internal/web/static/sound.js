// @ts-check
// Brings a chosen sound file into half a minute of WAV before it is sent: the loudest and steadiest stretch without
// clipping, as the server would choose it. A long WAV is looked through a second at a time.

import { inWords } from "./words.js";

const half = 30; // s kept of a longer recording
const longest = 300; // s of coded sound that a browser is asked to decode at once

/** @typedef {{ tag: number, channels: number, rate: number, bits: number, at: number, size: number }} Format */
/** @typedef {{ from: number, to: number, of: number }} Part in seconds */

/** @param {number} s */
const clock = (s) => Math.floor(s / 60) + ":" + String(Math.floor(s % 60)).padStart(2, "0");
/** @param {Part | null} part */
const cutWords = (part) => part ? inWords("The loudest and steadiest part is taken: %s to %s of %s.", clock(part.from), clock(part.to), clock(part.of)) : "";

/**
 * How loud a second is and whether it has flat tops.
 * @param {Float32Array[]} channels @param {number} from @param {number} to
 */
function weigh(channels, from, to) {
  let power = 0, flat = false;
  for (const x of channels) {
    let sum = 0, square = 0, lo = Infinity, hi = -Infinity;
    for (let i = from; i < to; i++) {
      const v = x[i];
      sum += v; square += v * v;
      if (v < lo) lo = v;
      if (v > hi) hi = v;
    }
    const n = to - from;
    power += Math.max(square / n - (sum / n) ** 2, 0);
    if (Math.max(-lo, hi) < 0.25) continue;
    for (let i = from, run = 0; i < to && !flat; i++) {
      run = x[i] >= hi || x[i] <= lo ? run + 1 : 0;
      flat = run >= 3;
    }
  }
  const level = 10 * Math.log10(power);
  return { level: level > -200 && level < 1000 ? level : -200, flat };
}

/** @param {{ level: number, flat: boolean }[]} run */
function score(run) {
  const n = run.length, mean = run.reduce((s, p) => s + p.level, 0) / n;
  const spread = Math.sqrt(Math.max(run.reduce((s, p) => s + p.level * p.level, 0) / n - mean * mean, 0));
  return mean - 2 * spread - 30 * run.filter((p) => p.flat).length / n;
}

/** Where the best half minute begins, in seconds; null where there is no more than that. @param {{ level: number, flat: boolean }[]} seconds */
function best(seconds) {
  if (seconds.length <= half) return null;
  let at = 0, top = -Infinity;
  for (let i = 0; i + half <= seconds.length; i++) {
    const s = score(seconds.slice(i, i + half));
    if (s > top + 1e-9) { top = s; at = i; }
  }
  return at;
}

/** What a file says of itself: in which coding it lost something, which part it is. @param {string} lossy @param {Part | null} part */
function saying(lossy, part) {
  let text = "undertray" + (lossy ? " lossy=" + lossy : "") + (part ? ` cut=${part.from}-${part.to}/${part.of}` : "");
  if (text === "undertray") return new Uint8Array(0);
  text += "\0";
  if (text.length % 2) text += "\0";
  const view = new DataView(new ArrayBuffer(20 + text.length));
  write(view, 0, "LIST"); view.setUint32(4, 12 + text.length, true);
  write(view, 8, "INFOICMT"); view.setUint32(16, text.length, true);
  write(view, 20, text);
  return new Uint8Array(view.buffer);
}

/** @param {DataView} view @param {number} at @param {string} text */
function write(view, at, text) { for (let i = 0; i < text.length; i++) view.setUint8(at + i, text.charCodeAt(i)); }

/** What stands before the samples. @param {Omit<Format, "at">} f @param {Uint8Array<ArrayBuffer>} said @returns {BlobPart[]} */
function head(f, said) {
  const frame = f.channels * f.bits / 8, view = new DataView(new ArrayBuffer(36)), data = new DataView(new ArrayBuffer(8));
  write(view, 0, "RIFF"); view.setUint32(4, 36 + said.length + f.size + f.size % 2, true); write(view, 8, "WAVEfmt ");
  view.setUint32(16, 16, true); view.setUint16(20, f.tag, true); view.setUint16(22, f.channels, true);
  view.setUint32(24, f.rate, true); view.setUint32(28, frame * f.rate, true); view.setUint16(32, frame, true); view.setUint16(34, f.bits, true);
  write(data, 0, "data"); data.setUint32(4, f.size, true);
  return [view.buffer, said, data.buffer];
}

/** @param {BlobPart[]} parts */
const file = (parts) => new File(parts, "recording.wav", { type: "audio/wav" });

/** A WAV file of 24 bits. @param {Float32Array[]} channels all of one length @param {number} rate @param {string} [lossy] @param {Part | null} [part] */
export function wav(channels, rate, lossy = "", part = null) {
  const n = channels[0].length, out = new DataView(new ArrayBuffer(3 * n * channels.length));
  for (let i = 0, at = 0; i < n; i++) {
    for (const x of channels) {
      const s = Math.round(Math.max(-1, Math.min(1, x[i])) * 8388607);
      out.setUint16(at, s & 0xffff, true);
      out.setInt8(at + 2, s >> 16);
      at += 3;
    }
  }
  const size = out.byteLength;
  return file([...head({ tag: 1, channels: channels.length, rate, bits: 24, size }, saying(lossy, part)), out.buffer, new Uint8Array(size % 2)]);
}

/** Of many channels the two loudest, of two alike one. @param {Float32Array[]} channels */
function few(channels) {
  if (channels.length > 2) {
    const power = channels.map((x) => x.reduce((s, v) => s + v * v, 0));
    channels = [...channels.keys()].sort((a, b) => power[b] - power[a]).slice(0, 2).map((i) => channels[i]);
  }
  if (channels.length === 2 && channels[0].every((v, i) => Math.abs(v - channels[1][i]) < 1e-6)) channels = [channels[0]];
  return channels;
}

/** Where a WAV file holds its samples and how; null where they are coded or it is none. @param {File} f @returns {Promise<Format | null>} */
async function format(f) {
  /** @type {Format | null} */
  let out = null;
  for (let at = 12; at + 8 <= f.size;) {
    const view = new DataView(await f.slice(at, at + 48).arrayBuffer());
    const name = String.fromCharCode(view.getUint8(0), view.getUint8(1), view.getUint8(2), view.getUint8(3)), size = view.getUint32(4, true);
    if (name === "fmt " && view.byteLength >= 24) {
      let tag = view.getUint16(8, true);
      if (tag === 0xfffe && view.byteLength >= 34) tag = view.getUint16(32, true);
      out = { tag, channels: view.getUint16(10, true), rate: view.getUint32(12, true), bits: view.getUint16(22, true), at: 0, size: 0 };
      if (tag === 1 && ![8, 16, 24, 32].includes(out.bits) || tag === 3 && ![32, 64].includes(out.bits) || tag !== 1 && tag !== 3) return null;
      if (out.channels < 1 || out.channels > 8 || out.rate < 4000 || out.rate > 768000) return null;
    }
    if (name === "data") return out && { ...out, at: at + 8, size: Math.min(size && size !== 0xffffffff ? size : f.size, f.size - at - 8) };
    at += 8 + size + size % 2;
  }
  return null;
}

/** @param {DataView} view @param {Format} f @returns {Float32Array[]} */
function samples(view, f) {
  const w = f.bits / 8, n = Math.floor(view.byteLength / (w * f.channels));
  /** @type {(at: number) => number} */
  const one = f.tag === 3 ? (w === 4 ? (at) => view.getFloat32(at, true) : (at) => view.getFloat64(at, true))
    : w === 1 ? (at) => (view.getUint8(at) - 128) / 128 : w === 2 ? (at) => view.getInt16(at, true) / 32768
    : w === 3 ? (at) => (view.getUint16(at, true) | view.getInt8(at + 2) << 16) / 8388608 : (at) => view.getInt32(at, true) / 2147483648;
  return Array.from({ length: f.channels }, (_, c) => Float32Array.from({ length: n }, (_, i) => one((i * f.channels + c) * w)));
}

/** The best part of a WAV file, a second in memory at a time; the file itself where it is short. @param {File} f @param {Format} is */
async function cutWAV(f, is) {
  const frame = is.channels * is.bits / 8, second = frame * is.rate;
  const seconds = [];
  for (let at = 0; at + second <= is.size; at += second) {
    const x = samples(new DataView(await f.slice(is.at + at, is.at + at + second).arrayBuffer()), is);
    seconds.push(weigh(x, 0, is.rate));
  }
  const at = best(seconds);
  if (at === null) return { file: f, part: null };
  const part = { from: at, to: at + half, of: Math.round(10 * is.size / second) / 10 }, size = half * second;
  return { file: file([...head({ ...is, size }, saying("", part)), f.slice(is.at + at * second, is.at + (at + half) * second)]), part };
}

/** In which coding a file lost something; "" for none. @param {Uint8Array} b the file */
function lossyOf(b) {
  const text = (/** @type {number} */ at, /** @type {number} */ n) => String.fromCharCode(...b.subarray(at, at + n));
  const holds = (/** @type {string} */ s, /** @type {number} */ from, /** @type {number} */ to) => {
    for (let at = b.indexOf(s.charCodeAt(0), from); at >= 0 && at < to; at = b.indexOf(s.charCodeAt(0), at + 1)) if (text(at, s.length) === s) return at;
    return -1;
  };
  const start = text(0, 4);
  if (start === "fLaC" || start === "FORM") return "";
  if (start === "caff") return ["lpcm", "alac"].includes(text(28, 4)) ? "" : "aac";
  if (start === "OggS") return holds("fLaC", 0, 64) >= 0 || holds("FLAC", 0, 64) >= 0 ? "" : holds("OpusHead", 0, 64) >= 0 ? "opus" : "vorbis";
  if (start === "\x1a\x45\xdf\xa3") return holds("A_FLAC", 0, 4096) >= 0 || holds("A_PCM", 0, 4096) >= 0 ? "" : holds("A_OPUS", 0, 4096) >= 0 ? "opus" : "vorbis";
  if (text(4, 4) === "ftyp") {
    for (let at = holds("stsd", 0, b.length); at >= 0; at = holds("stsd", at + 1, b.length)) {
      const coding = text(at + 16, 4);
      if (coding === "alac" || coding === "fLaC") return "";
      if (coding === "Opus") return "opus";
    }
    return "aac";
  }
  return start === "RIFF" ? "adpcm" : b[0] === 0xff && (b[1] & 6) === 0 ? "aac" : "mp3";
}

/** How long a sound lasts as the browser sees it, without decoding it; 0 where it does not say. @param {File} f @returns {Promise<number>} */
function lasts(f) {
  return new Promise((done) => {
    const player = new Audio(), url = URL.createObjectURL(f);
    const end = (/** @type {number} */ s) => { URL.revokeObjectURL(url); done(Number.isFinite(s) ? s : 0); };
    player.preload = "metadata";
    player.onloadedmetadata = () => end(player.duration);
    player.onerror = () => end(0);
    setTimeout(() => end(0), 10000);
    player.src = url;
  });
}

/**
 * What is to be sent of a chosen file, and what to say of it; no file where it cannot be sent.
 * @param {File} f @param {number} most bytes taken by the server @returns {Promise<{ file: File | null, note: string }>}
 */
export async function prepare(f, most) {
  const start = new TextDecoder("latin1").decode(await f.slice(0, 12).arrayBuffer());
  if (start.startsWith("RIFF") && start.endsWith("WAVE")) {
    const is = await format(f);
    if (is) {
      const cut = await cutWAV(f, is);
      if (cut.file.size <= most) return { file: cut.file, note: cutWords(cut.part) };
    }
  }
  const small = f.size <= most;
  const asIs = { file: small ? f : null, note: small ? inWords("The browser cannot read this file as sound; it is sent as it is.") : inWords("This file is larger than %s MiB and the browser cannot shorten it: cut it to the half minute that matters.", most >> 20) };
  const seconds = await lasts(f);
  if (seconds > longest || !seconds && !small) return seconds && small ? { ...asIs, note: inWords("A long recording, sent as it is.") } : asIs;
  try {
    const src = await f.arrayBuffer(), lossy = lossyOf(new Uint8Array(src));
    const sound = await new OfflineAudioContext(1, 1, 48000).decodeAudioData(src), rate = sound.sampleRate;
    let channels = few(Array.from({ length: sound.numberOfChannels }, (_, c) => sound.getChannelData(c)));
    const pieces = Array.from({ length: Math.floor(sound.length / rate) }, (_, i) => weigh(channels, i * rate, (i + 1) * rate));
    const at = best(pieces);
    const part = at === null ? null : { from: at, to: at + half, of: Math.round(10 * sound.length / rate) / 10 };
    if (at !== null) channels = channels.map((x) => x.subarray(at * rate, (at + half) * rate));
    return { file: wav(channels, rate, lossy, part), note: [lossy ? inWords("Decoded. Compressed sound has lost some of what is asked for.") : inWords("Decoded."), cutWords(part)].filter(Boolean).join(" ") };
  } catch {
    return asIs;
  }
}
