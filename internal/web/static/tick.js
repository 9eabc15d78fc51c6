// @ts-check
// A step of a job sheet is ticked by a touch. Where the server is not reached the
// tick waits on this device and is sent, in order, when there is a connection.

import { post, wait } from "./outbox.js";
import { newID } from "./round.js";

/** Sends each tick as it is set, and shows the sheet as it is by then. */
export function ticks() {
  const form = /** @type {HTMLFormElement | null} */ (document.getElementById("ticks"));
  if (!form || form.querySelector("[role=alert]")) return; // asked something, the form answers
  form.querySelector("[data-plain]")?.remove();
  form.addEventListener("change", async (event) => {
    const box = event.target;
    if (!(box instanceof HTMLInputElement) || box.name !== "step") return;
    const body = new URLSearchParams();
    for (const task of form.querySelectorAll("input[name=task]")) body.append("task", /** @type {HTMLInputElement} */ (task).value);
    body.set("batch", newID());
    body.set(box.checked ? "step" : "was", box.value);
    body.set("typed", String(Date.now()));
    try {
      const answer = await post(form.action, body.toString());
      show(await answer.text(), answer.ok ? box.value : "");
    } catch {
      wait({ vehicle: form.dataset.vehicle ?? "", name: form.dataset.name ?? "", action: form.action, body: body.toString(), sheet: true });
    }
  });
}

/**
 * Puts the page that came back in the place of this one, at the step that was
 * ticked; a question comes into view.
 * @param {string} html @param {string} key
 */
function show(html, key) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const then = page.querySelector("main"), now = document.querySelector("main");
  if (!then || !now) return location.reload();
  now.replaceWith(then);
  ticks();
  const boxes = /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("input[name=step]"));
  const box = [...boxes].find((b) => b.value === key);
  if (box) box.focus({ preventScroll: true });
  else document.querySelector("#ticks [role=alert]")?.scrollIntoView({ block: "center" });
}
