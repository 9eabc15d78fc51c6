// @ts-check
// A step of a job sheet is ticked by a touch. Where the server is not reached the
// tick waits on this device and is sent, in order, when there is a connection. What
// another device ticks meanwhile is shown by itself.

import { lineBy, post, tell, wait } from "./outbox.js";
import { newID } from "./draft.js";
import { inWords } from "./words.js";

/** Sends each tick as it is set, and shows the sheet as it is by then. */
export function ticks() {
  const form = /** @type {HTMLFormElement | null} */ (document.getElementById("ticks"));
  if (!form || form.querySelector("[role=alert]")) return; // asked something, the form answers
  form.querySelector("[data-plain]")?.remove();
  form.addEventListener("change", async (event) => {
    const box = event.target;
    if (!(box instanceof HTMLInputElement)) return;
    const body = new URLSearchParams();
    for (const task of named(form, "task")) body.append("task", task.value);
    body.set("batch", newID());
    body.set("who", named(form, "who")[0]?.value ?? "");
    if (box.name === "step") {
      body.set(box.checked ? "step" : "was", box.value);
      if (box.checked) for (const set of figures(box)) if (set.value) body.set(set.name, set.value);
    } else if (box.name.startsWith("s.") && box.value && box.closest("li")?.querySelector("input[name=step]:checked")) {
      body.set(box.name, box.value); // of a step that is ticked already
    } else return;
    body.set("typed", String(Date.now()));
    try {
      const answer = await post(form.action, body.toString());
      if (answer.ok && answer.url.endsWith("/job/done")) return location.assign(answer.url);
      show(await answer.text(), answer.ok ? box.value : "");
    } catch {
      const kept = wait({ vehicle: document.body.dataset.vehicle ?? "", name: inWords("Step %s, %s", box.closest("li")?.querySelector(".no")?.textContent ?? "", document.title.split(" – ")[0]), action: form.action, body: body.toString(), what: "tick" });
      tell(lineBy(box), kept ? inWords("Waits on this device and goes by itself.") : inWords("Not kept: the server is not reached, and this device is full."));
    }
  });
}

/** @param {ParentNode} within @param {string} name @returns {HTMLInputElement[]} */
const named = (within, name) => [...within.querySelectorAll("input")].filter((i) => i.name === name);

/** The figures asked beside a step. @param {HTMLInputElement} box */
const figures = (box) => [...(box.closest("li")?.querySelectorAll("input") ?? [])].filter((i) => i.name.startsWith("s."));

/**
 * Puts the page that came back in the place of this one, at the step that was
 * ticked; a question comes into view.
 * @param {string} html @param {string} key
 */
function show(html, key) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const then = page.querySelector("main"), now = document.querySelector("main");
  if (!then || !now) return location.reload();
  const open = Boolean(now.querySelector("#else[open]"));
  now.replaceWith(then);
  if (open) then.querySelector("#else")?.setAttribute("open", "");
  ticks();
  const box = named(document, "step").find((b) => b.value === key);
  if (box) box.focus({ preventScroll: true });
  else if (key === "") document.querySelector("#ticks [role=alert]")?.scrollIntoView({ block: "center" });
}

const between = 3000; // ms between looks at what others ticked

/** While the sheet in hand is shown, what another device ticks is shown too. */
export function others() {
  let busy = false;
  /** @param {unknown} [landed] whether a tick that waited is kept now */
  const look = async (landed) => {
    const form = document.getElementById("ticks"), stand = landed === true ? "" : form?.dataset.stand;
    const typing = document.activeElement instanceof HTMLInputElement && document.activeElement.type !== "checkbox";
    if (!form || stand === undefined || busy || typing || document.hidden || form.querySelector("[role=alert]")) return;
    busy = true;
    try {
      const answer = await fetch("/v/" + document.body.dataset.vehicle + "/job/ticks", { headers: { Accept: "application/json" } });
      /** @type {{ stand?: string }} */
      const now = answer.ok ? await answer.json() : {};
      if (now.stand && now.stand !== stand && document.getElementById("ticks") === form) {
        const page = await fetch("/v/" + document.body.dataset.vehicle + "/job", { headers: { Accept: "text/html" } });
        if (page.ok && document.getElementById("ticks") === form) show(await page.text(), " ");
      }
    } catch {
      // the server is not reached: what is shown stands
    }
    busy = false;
  };
  if (!document.getElementById("ticks")) return;
  setInterval(look, between);
  document.addEventListener("visibilitychange", look);
  addEventListener("kept", () => look(true));
}
