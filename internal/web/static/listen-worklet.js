// @ts-check
/* Hands what the microphone gives to the page, unchanged, a tenth of a second at a time. */
const size = 4800;
/** @type {any} */
const scope = globalThis;

scope.registerProcessor("take", class extends scope.AudioWorkletProcessor {
  constructor() {
    super();
    this.block = new Float32Array(size);
    this.at = 0;
  }

  /** @param {Float32Array[][]} inputs */
  process(inputs) {
    for (const v of inputs[0]?.[0] ?? []) {
      this.block[this.at++] = v;
      if (this.at < size) continue;
      this.port.postMessage(this.block, [this.block.buffer]);
      this.block = new Float32Array(size);
      this.at = 0;
    }
    return true;
  }
});

export {};
