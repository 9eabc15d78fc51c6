// @ts-check

import { inWords } from "./words.js";

/** Choosing an opening lights up what it shows without leaving the place. */
function openings() {
  if (!document.getElementById("beside")) return;
  document.addEventListener("click", async (event) => {
    const link = /** @type {Element} */ (event.target).closest?.(".openings a");
    if (!(link instanceof HTMLAnchorElement) || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    try {
      const answer = await fetch(link.href, { headers: { Accept: "text/html" } });
      if (!answer.ok) throw new Error(String(answer.status));
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      replace(page, "#beside");
      page.querySelectorAll("main table.stack").forEach((table, i) => {
        document.querySelectorAll("main table.stack")[i]?.replaceWith(table);
      });
      history.replaceState(null, "", link.href.split("#")[0]);
      /** @type {HTMLElement | null} */ (document.querySelector(".openings [aria-current]"))?.focus();
    } catch {
      location.href = link.href;
    }
  });
}

/** @param {Document} page @param {string} selector */
function replace(page, selector) {
  const now = document.querySelector(selector), then = page.querySelector(selector);
  if (now && then) now.replaceWith(then);
}

/** A fault's line number leads to that line of the sheet. */
function lines() {
  const text = document.getElementById("text");
  if (!(text instanceof HTMLTextAreaElement)) return;
  document.addEventListener("click", (event) => {
    const link = /** @type {Element} */ (event.target).closest?.("[data-line]");
    if (!(link instanceof HTMLElement)) return;
    event.preventDefault();
    const all = text.value.split("\n"), n = Number(link.dataset.line) - 1;
    const start = all.slice(0, n).reduce((sum, line) => sum + line.length + 1, 0);
    text.focus();
    text.setSelectionRange(start, start + (all[n] ?? "").length);
    text.scrollTop = (text.scrollHeight / all.length) * Math.max(0, n - 4);
  });
}

/** The days of a plan come in once it is made, which takes longer than the page may. */
async function days() {
  if (!document.querySelector("[data-plan]")) return;
  try {
    if (!(await fetch(location.pathname, { headers: { Accept: "application/json" } })).ok) return;
    const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const p of /** @type {NodeListOf<HTMLElement>} */ (page.querySelectorAll("[data-day]"))) replace(page, "[data-day='" + p.dataset.day + "']");
  } catch {
    // the page was left, or the server is not reached: it says "at the next visit"
  }
}

/** While a plan is shown its search goes on; a better one is offered, not put in its place. */
async function better() {
  const line = /** @type {HTMLElement | null} */ (document.querySelector("[data-better]"));
  try {
    while (line) {
      const answer = await fetch(line.dataset.better ?? "", { headers: { Accept: "application/json" } });
      if (!answer.ok) return;
      /** @type {{ words?: string, again?: boolean }} */
      const { words, again } = await answer.json();
      if (words) {
        const show = document.createElement("a");
        show.href = location.href;
        show.textContent = inWords("Show it");
        line.replaceChildren(words + " ", show);
      }
      if (words || !again) return;
    }
  } catch {
    // the page was left, or the server is not reached: the plan stands as it is
  }
}

better();
days();
openings();
lines();
export {};
