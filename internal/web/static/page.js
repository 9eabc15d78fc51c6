// @ts-check
// What every page loads. Each part looks for what it serves and leaves the page
// alone where that is missing: without script everything still works.
import { round, meanings } from "./round.js";
import { outbox, sendWaiting } from "./outbox.js";
import { better, openings, lines } from "./small.js";
import { once, others, ticks } from "./tick.js";

for (const form of document.querySelectorAll("form[data-meanings]")) meanings(/** @type {HTMLFormElement} */ (form));
const walk = /** @type {HTMLFormElement | null} */ (document.getElementById("round"));
if (walk) {
  round(walk);
  outbox(walk);
}
better();
openings();
ticks();
others();
once();
lines();
sendWaiting();
navigator.serviceWorker?.register("/keeper.js").catch(() => {}); // without it pages need the connection
