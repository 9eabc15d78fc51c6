// @ts-check
// Runs the reader of pictures beside the page, which stays free: it is fetched when it is first asked.

/** @typedef {{id: number, light?: Uint8Array, width?: number, height?: number, told: string, seen?: string, x?: number, y?: number}} Ask */
/** @typedef {{error?: string, seen?: string}} Answer */

{
  const worker = /** @type {any} */ (globalThis);

  /** @type {Promise<void> | undefined} */
  let ready;

  async function begin() {
    worker.importScripts("wasm_exec.js");
    const go = new worker.Go();
    const { instance } = await WebAssembly.instantiateStreaming(fetch("reader.wasm"), go.importObject);
    go.run(instance);
  }

  worker.addEventListener("message", async (/** @type {MessageEvent<Ask>} */ event) => {
    const ask = event.data;
    try {
      await (ready ??= begin());
      /** @type {Answer} */
      const answer = ask.light ? worker.readBelt(ask.told, ask.light, ask.width, ask.height)
        : ask.x === undefined ? worker.countAgain(ask.told, ask.seen) : worker.countAgain(ask.told, ask.seen, ask.x, ask.y);
      worker.postMessage({ id: ask.id, ...answer });
    } catch (e) {
      ready = undefined;
      worker.postMessage({ id: ask.id, error: String(e), lost: true });
    }
  });
}
