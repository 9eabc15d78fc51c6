// @ts-check
// Records a sound in the page, turns other sound files into WAV, shows and hides
// lines and plays one band by itself. Without it a WAV file can still be sent.

const longest = 30; // s
const settle = 0.3; // s at the start that hold the tap on the button

/** @template {HTMLElement} T @param {string} id @returns {T | null} */
const get = (id) => /** @type {T | null} */ (document.getElementById(id));

/** A WAV file of one channel, 24 bits. @param {Float32Array[]} blocks @param {number} rate */
function wav(blocks, rate) {
  const n = blocks.reduce((sum, b) => sum + b.length, 0);
  const view = new DataView(new ArrayBuffer(44 + 3 * n));
  const text = (/** @type {number} */ at, /** @type {string} */ s) => [...s].forEach((c, i) => view.setUint8(at + i, c.charCodeAt(0)));
  text(0, "RIFF"); view.setUint32(4, 36 + 3 * n, true); text(8, "WAVEfmt ");
  view.setUint32(16, 16, true); view.setUint16(20, 1, true); view.setUint16(22, 1, true);
  view.setUint32(24, rate, true); view.setUint32(28, 3 * rate, true); view.setUint16(32, 3, true); view.setUint16(34, 24, true);
  text(36, "data"); view.setUint32(40, 3 * n, true);
  let at = 44;
  for (const block of blocks) {
    for (const v of block) {
      const s = Math.round(Math.max(-1, Math.min(1, v)) * 8388607);
      view.setUint16(at, s & 0xffff, true);
      view.setInt8(at + 2, s >> 16);
      at += 3;
    }
  }
  return new File([view.buffer], "recording.wav", { type: "audio/wav" });
}

/** Puts a file into the form as if it had been chosen. @param {HTMLInputElement} input @param {File} file */
function choose(input, file) {
  const list = new DataTransfer();
  list.items.add(file);
  input.files = list.files;
}

/** @param {HTMLFormElement} form */
function recorder(form) {
  const button = get("record"), says = get("level"), input = /** @type {HTMLInputElement | null} */ (get("sound-file"));
  const place = get("recorder");
  if (!button || !says || !input || !place) return;
  place.hidden = false;
  if (!navigator.mediaDevices?.getUserMedia || !globalThis.AudioWorkletNode) {
    button.hidden = true;
    says.textContent = "Recording here needs this machine itself or an https address; record with the telephone and choose the file.";
    return;
  }
  /** @type {(() => void) | null} */
  let stop = null;
  button.addEventListener("click", async () => {
    if (stop) { stop(); return; }
    try {
      stop = await take(form.dataset.worklet ?? "", says, (file, note) => {
        stop = null;
        button.textContent = "Record again";
        button.setAttribute("aria-pressed", "false");
        choose(input, file);
        says.textContent = note;
      });
      button.textContent = "Stop";
      button.setAttribute("aria-pressed", "true");
    } catch (e) {
      says.textContent = "The microphone cannot be used: " + (e instanceof Error ? e.message : e) + ".";
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
    const doubt = kept?.autoGainControl || kept?.noiseSuppression ? " This device does not switch its level control off: take the answer with care." : "";
    done(wav(blocks, context.sampleRate), seconds.toFixed(1) + " s recorded." + (seconds < 10 ? " Ten or more tell more." : "") + doubt);
  };
  node.port.onmessage = (event) => {
    const block = /** @type {Float32Array} */ (event.data);
    blocks.push(block);
    got += block.length;
    const peak = block.reduce((top, v) => Math.max(top, Math.abs(v)), 0);
    says.textContent = (got / context.sampleRate).toFixed(0) + " s" + (peak > 0.99 ? ", too loud: move away" : peak < 0.003 ? ", hardly anything to hear" : "");
    if (got >= longest * context.sampleRate) finish();
  };
  return finish;
}

/** A chosen file that is no WAV is turned into one where the browser can read it. @param {HTMLInputElement} input */
function convert(input) {
  input.addEventListener("change", async () => {
    const file = input.files?.[0], says = get("level");
    if (!file) return;
    const head = new TextDecoder("latin1").decode(await file.slice(0, 12).arrayBuffer());
    if (head.startsWith("RIFF") && head.endsWith("WAVE")) return;
    try {
      const sound = await new OfflineAudioContext(1, 1, 48000).decodeAudioData(await file.arrayBuffer());
      choose(input, wav([sound.getChannelData(0)], sound.sampleRate));
      if (says) says.textContent = "Turned into WAV. Compressed sound has lost some of what is asked for.";
    } catch {
      if (says) says.textContent = "The browser cannot read this file as sound.";
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

const form = /** @type {HTMLFormElement | null} */ (get("take"));
if (form) recorder(form);
const input = /** @type {HTMLInputElement | null} */ (get("sound-file"));
if (input) convert(input);
const box = get("lines");
if (box) { box.hidden = false; lines(box); }
const label = get("solo"), sound = /** @type {HTMLAudioElement | null} */ (get("sound"));
const tick = label?.querySelector("input");
if (label && tick && sound) { label.hidden = false; solo(tick, sound); }

export {};
