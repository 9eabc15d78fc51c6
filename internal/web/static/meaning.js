// @ts-check
// What an answer means, from the table that the server's judge made. Nothing is
// judged here: an answer is looked up, and what the table lacks is left to the server.

import { inWords } from "./words.js";

/** @typedef {{m: [string, string, string][], t: {a?: number[], b?: {to?: number, in?: boolean, m: number}[], p?: number[]}[], c: Record<string, number>, f?: string}} Table */

/**
 * The mark, the word and the meaning of what a field holds; undefined where it is
 * worked out when it is sent.
 * @param {Table} table @param {HTMLInputElement} input
 */
export function meaningOf(table, input) {
  const check = table.t[table.c[input.name]], typed = input.value.trim();
  if (check?.a) return table.m[check.a[[...(input.closest(".check")?.querySelectorAll("input") ?? [])].indexOf(input)]];
  if (!/^-?\d+(\.\d+)?$/.test(typed)) return undefined; // a unit of its own
  const figure = Number(typed);
  const band = check?.b?.find((b) => b.to === undefined || figure < b.to || (b.in === true && figure === b.to));
  return band && table.m[band.m];
}

const svg = "http://www.w3.org/2000/svg";

/**
 * Puts what it looks like beside each answer that is drawn. The drawings stand in one file, which is fetched
 * when the first of them is shown, and kept.
 * @param {Table} table @param {Iterable<Element>} checks
 */
export function plates(table, checks) {
  for (const check of checks) {
    const inputs = [...check.querySelectorAll("input")], drawn = table.t[table.c[inputs[0]?.name]]?.p;
    if (!drawn || check.classList.contains("drawn")) continue;
    check.classList.add("drawn");
    drawn.forEach((n, i) => {
      if (!n) return;
      const plate = document.createElementNS(svg, "svg"), use = document.createElementNS(svg, "use");
      plate.setAttribute("class", "plate");
      plate.setAttribute("aria-hidden", "true");
      use.setAttribute("href", table.f + "#p" + n);
      plate.append(use);
      inputs[i].after(plate);
    });
  }
}

/** The table that stands in a form. @param {HTMLFormElement} form @returns {Table | undefined} */
export function tableOf(form) {
  const kept = form.querySelector("template[data-table]");
  return kept instanceof HTMLTemplateElement ? JSON.parse(kept.content.textContent ?? "") : undefined;
}

/**
 * Says below each question what the answer touched means.
 * @param {HTMLFormElement} form
 */
export function meanings(form) {
  const table = tableOf(form);
  if (!table) return;
  /** @param {HTMLInputElement} input */
  const say = (input) => {
    const says = input.closest(".check")?.querySelector(".meaning");
    if (!says || (input.type === "radio" && !input.checked)) return;
    const found = meaningOf(table, input);
    if (!input.value.trim()) says.textContent = "";
    else if (!found) says.textContent = inWords("Worked out when sent.");
    else says.replaceChildren(word(found), document.createTextNode(": " + found[2]));
  };
  const near = new IntersectionObserver((seen) => {
    plates(table, seen.filter((s) => s.isIntersecting).map((s) => s.target));
  }, { rootMargin: "400px" });
  for (const check of form.querySelectorAll(".check")) near.observe(check);
  form.addEventListener("click", ({ target }) => { /** @type {Element} */ (target).closest?.(".meaning")?.classList.toggle("whole"); });
  form.addEventListener("input", ({ target }) => { if (target instanceof HTMLInputElement) say(target); });
  for (const input of form.querySelectorAll(".check input")) say(/** @type {HTMLInputElement} */ (input));
}

/** A verdict as a word with its mark's tone. @param {[string, string, string]} m */
export function word(m) {
  const out = document.createElement("span");
  out.className = "v " + m[0];
  out.textContent = m[1];
  return out;
}
