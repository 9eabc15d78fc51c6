// @ts-check
// What every page loads. Each part looks for what it serves and leaves the page
// alone where that is missing: without script everything still works.
import { meanings } from "./meaning.js";
import { head, outbox, sendWaiting } from "./outbox.js";
import { round } from "./round.js";

const walk = /** @type {HTMLFormElement | null} */ (document.getElementById("round"));
head();
if (walk) round(walk);
outbox();
for (const form of document.forms) meanings(form); // what was restored too
if (document.getElementById("ticks")) import("./tick.js").then(({ others, ticks }) => { ticks(); others(); });
if (document.querySelector("#beside, #text, [data-plan], [data-better]")) import("./small.js");
sendWaiting();
if (walk || localStorage.getItem("pictures") || document.querySelector("#shot,[data-shot]")) afterwards(() => import("./picture.js"));
if (document.querySelector("[data-two],[data-mark]")) import("./marks.js");

/** After the page: what it weighs is not waited for. @param {() => void} act */
function afterwards(act) {
  if (document.readyState === "complete") act();
  else addEventListener("load", act);
}

const keeper = navigator.serviceWorker, about = document.body.dataset.vehicle;
keeper?.register("/keeper.js").catch(() => {}); // without it pages need the connection
const { saveData } = /** @type {{saveData?: boolean}} */ (/** @type {any} */ (navigator).connection ?? {});
// What else there is of the vehicle is kept once somebody stays with it, where it costs nothing.
if (about && !saveData) afterwards(() => setTimeout(async () => (await keeper?.ready)?.active?.postMessage(about), 2000));
