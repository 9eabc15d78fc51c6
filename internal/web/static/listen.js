// @ts-check
// Records a sound in the page, makes half a minute of WAV of any sound file, shows
// and hides lines and plays one band by itself. Without it a file is sent as it is.
import { prepare, wav } from "./sound.js";
import { inWords } from "./words.js";

const longest = 30; // s
const settle = 0.3; // s at the start that hold the tap on the button

/** @template {HTMLElement} T @param {string} id @returns {T | null} */
const get = (id) => /** @type {T | null} */ (document.getElementById(id));

/** Puts a file into the form as if it had been chosen. @param {HTMLInputElement} input @param {File} file */
function choose(input, file) {
  const list = new DataTransfer();
  list.items.add(file);
  input.files = list.files;
}

/** A part of a form that sends a recording. @template {HTMLElement} T @param {HTMLFormElement} form @param {string} name @returns {T | null} */
const part = (form, name) => /** @type {T | null} */ (form.querySelector(`[data-part=${name}]`));

/** @param {HTMLFormElement} form @param {HTMLInputElement} input */
function recorder(form, input) {
  const button = part(form, "record"), says = part(form, "level"), place = part(form, "recorder");
  if (!button || !says || !place) return;
  place.hidden = false;
  if (!navigator.mediaDevices?.getUserMedia || !globalThis.AudioWorkletNode) {
    button.hidden = true;
    says.textContent = inWords("Recording here needs this machine itself or an https address; record with the telephone and choose the file.");
    return;
  }
  /** @type {(() => void) | null} */
  let stop = null;
  button.addEventListener("click", async () => {
    if (stop) { stop(); return; }
    try {
      stop = await take(form.dataset.worklet ?? "", says, (file, note) => {
        stop = null;
        button.textContent = inWords("Record again");
        button.setAttribute("aria-pressed", "false");
        choose(input, file);
        says.textContent = note;
      });
      button.textContent = inWords("Stop");
      button.setAttribute("aria-pressed", "true");
    } catch (e) {
      says.textContent = inWords("The microphone cannot be used: %s.", e instanceof Error ? e.message : String(e));
    }
  });
}

/**
 * Records until stopped or full.
 * @param {string} worklet @param {HTMLElement} says @param {(file: File, note: string) => void} done @returns {Promise<() => void>}
 */
async function take(worklet, says, done) {
  const stream = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 } });
  const context = new AudioContext();
  await context.audioWorklet.addModule(worklet);
  const node = new AudioWorkletNode(context, "take", { numberOfOutputs: 0 });
  context.createMediaStreamSource(stream).connect(node);
  /** @type {Float32Array[]} */
  const blocks = [];
  let got = 0;
  const finish = () => {
    node.port.onmessage = null;
    const kept = stream.getAudioTracks()[0]?.getSettings();
    for (const track of stream.getTracks()) track.stop();
    context.close();
    let skip = Math.round(settle * context.sampleRate);
    while (blocks.length > 1 && skip >= blocks[0].length) skip -= /** @type {Float32Array} */ (blocks.shift()).length;
    const seconds = blocks.reduce((sum, b) => sum + b.length, 0) / context.sampleRate;
    const doubt = kept?.autoGainControl || kept?.noiseSuppression ? " " + inWords("This device does not switch its level control off: take the answer with care.") : "";
    const whole = new Float32Array(blocks.reduce((sum, b) => sum + b.length, 0));
    blocks.reduce((at, b) => { whole.set(b, at); return at + b.length; }, 0);
    done(wav([whole], context.sampleRate), inWords("%s s recorded.", seconds.toFixed(1)) + (seconds < 10 ? " " + inWords("Ten or more tell more.") : "") + doubt);
  };
  node.port.onmessage = (event) => {
    const block = /** @type {Float32Array} */ (event.data);
    blocks.push(block);
    got += block.length;
    const peak = block.reduce((top, v) => Math.max(top, Math.abs(v)), 0);
    const at = (got / context.sampleRate).toFixed(0);
    says.textContent = peak > 0.99 ? inWords("%s s, too loud: move away", at) : peak < 0.003 ? inWords("%s s, hardly anything to hear", at) : inWords("%s s", at);
    if (got >= longest * context.sampleRate) finish();
  };
  return finish;
}

/** What is sent of a chosen file is made ready when it is chosen. @param {HTMLInputElement} input */
function convert(input) {
  const send = input.form?.querySelector("button.main");
  input.addEventListener("change", async () => {
    const file = input.files?.[0], says = input.form && part(input.form, "level");
    if (!file || !says || !(send instanceof HTMLButtonElement)) return;
    send.disabled = true;
    says.textContent = inWords("Reading the file");
    try {
      const ready = await prepare(file, Number(input.dataset.most));
      says.textContent = ready.note;
      if (!ready.file) input.value = "";
      else if (ready.file !== file) choose(input, ready.file);
    } finally {
      send.disabled = false;
    }
  });
}

/** The lines of a number in a drawing: each a lead, perhaps a ring, and the number. @param {Element} box */
function lines(box) {
  for (const tick of /** @type {NodeListOf<HTMLInputElement>} */ (box.querySelectorAll("[data-line-of]"))) {
    tick.addEventListener("change", () => {
      for (const number of document.querySelectorAll("#heard svg .d-num")) {
        if (number.textContent !== tick.dataset.lineOf) continue;
        for (let e = /** @type {Element | null} */ (number); e; e = e.previousElementSibling) {
          /** @type {SVGElement} */ (e).style.display = tick.checked ? "" : "none";
          if (e.classList.contains("d-lead")) break;
        }
      }
    });
  }
}

/** Plays only the band in question. @param {HTMLInputElement} tick @param {HTMLAudioElement} sound */
function solo(tick, sound) {
  /** @type {AudioContext | null} */
  let context = null;
  /** @type {{source: AudioNode, first: AudioNode, last: AudioNode} | null} */
  let chain = null;
  tick.addEventListener("change", () => {
    if (!context || !chain) {
      context = new AudioContext();
      const from = Number(tick.dataset.from), to = Number(tick.dataset.to);
      const [first, last] = [0, 1].map(() => new BiquadFilterNode(/** @type {AudioContext} */ (context), { type: "bandpass", frequency: Math.sqrt(from * to), Q: Math.sqrt(from * to) / (to - from) }));
      first.connect(last);
      chain = { source: context.createMediaElementSource(sound), first, last };
    }
    context.resume();
    chain.source.disconnect();
    chain.last.disconnect();
    chain.source.connect(tick.checked ? chain.first : context.destination);
    if (tick.checked) chain.last.connect(context.destination);
  });
}

for (const form of /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll("form[data-worklet]"))) {
  const input = form.querySelector("input[type=file]");
  if (!(input instanceof HTMLInputElement)) continue;
  recorder(form, input);
  convert(input);
}
const box = get("lines");
if (box) { box.hidden = false; lines(box); }
const label = get("solo"), sound = /** @type {HTMLAudioElement | null} */ (get("sound"));
const tick = label?.querySelector("input");
if (label && tick && sound) { label.hidden = false; solo(tick, sound); }

export {};
