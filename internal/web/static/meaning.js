// @ts-check
// What an answer means, from the table that the server's judge made. Nothing is
// judged here: an answer is looked up, and what the table lacks is left to the server.

/** @typedef {{m: [string, string, string][], t: {a?: number[], b?: {to?: number, in?: boolean, m: number}[]}[], c: Record<string, number>}} Table */

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
    else if (!found) says.textContent = "Worked out when sent.";
    else says.replaceChildren(word(found), document.createTextNode(": " + found[2]));
  };
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
