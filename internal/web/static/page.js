// @ts-check
// What every page loads. Each part looks for what it serves and leaves the page
// alone where that is missing: without script everything still works.
import { meanings } from "./meaning.js";
import { round } from "./round.js";
import { outbox, sendWaiting } from "./outbox.js";
import { better, days, openings, lines } from "./small.js";
import { others, ticks } from "./tick.js";

const walk = /** @type {HTMLFormElement | null} */ (document.getElementById("round"));
if (walk) round(walk);
for (const form of /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll("#round, #finish"))) outbox(form);
for (const form of document.forms) meanings(form); // what was restored too
better();
days();
openings();
ticks();
others();
lines();
sendWaiting();
if (walk || localStorage.getItem("pictures") || document.querySelector("#shot,[data-shot],[data-two]")) {
  // after the page: what it weighs is not waited for
  const later = () => import("./picture.js");
  if (document.readyState === "complete") later();
  else addEventListener("load", later);
}
navigator.serviceWorker?.register("/keeper.js").catch(() => {}); // without it pages need the connection
