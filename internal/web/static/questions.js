// @ts-check
// The questions of a stop. A page holds each distinct one once, and each stop which of them
// it asks; they are laid out where they are wanted, as the page without script has them.

import { inWords } from "./words.js";

/** @typedef {{id: string, t: string, q: string, h: string, c?: string, s: string, u?: string, a?: [string, string][], p?: string}} Question */
/** @typedef {{q: number, n: number, a?: boolean, c?: string, l?: string}} Ask */

/** @template T @param {ParentNode} within @param {string} name @returns {T | undefined} */
function listed(within, name) {
  const kept = within.querySelector("template[data-" + name + "]");
  return kept instanceof HTMLTemplateElement ? JSON.parse(kept.content.textContent ?? "") : undefined;
}

/** @param {string} tag @param {Record<string, string>} attributes @param {...(string | Node)} inside */
function made(tag, attributes, ...inside) {
  const out = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) out.setAttribute(name, value);
  out.append(...inside);
  return out;
}

/**
 * What lays the questions of a stop out in it, once.
 * @param {HTMLFormElement} form
 */
export function questions(form) {
  const all = /** @type {Question[]} */ (listed(form, "questions") ?? []);
  /** @param {Element} stop */
  return (stop) => {
    const text = stop.querySelector("template[data-asks]");
    if (!(text instanceof HTMLTemplateElement)) return;
    const id = /** @type {HTMLElement} */ (stop).dataset.stop ?? "", n = "n-" + text.dataset.asks;
    const asks = /** @type {Ask[]} */ (listed(stop, "asks"));
    text.replaceWith(...asks.map((ask) => check(all[ask.q], ask, "a." + id + "." + all[ask.q].id)), made("div", { class: "field note" },
      made("label", { for: n }, inWords("Note")), made("textarea", { id: n, name: "n." + id, rows: "2", autocomplete: "off", enterkeyhint: "done" })));
  };
}

/** @param {Question} q @param {Ask} ask @param {string} field */
function check(q, ask, field) {
  const out = made("fieldset", { class: "check", "data-title": q.t, "data-likely": String(ask.n) });
  if (ask.a) out.dataset.asked = "";
  if (ask.c) out.dataset.caution = ask.c;
  const legend = made("legend", q.a ? { class: "q" } : { class: "q", id: "q-" + field });
  if (q.c) legend.append(made("span", { class: "caution" }, q.c), " ");
  legend.append(q.q);
  out.append(legend, made("p", { class: "how soft" }, q.s + ": " + q.h));
  if (ask.l) out.append(made("p", { class: "soft" }, inWords("Last time: %s.", ask.l)));
  out.append(q.a ? made("div", { class: "answers" }, ...q.a.map(([value, says]) => answer(field, value, says)), none(field))
    : made("div", { class: "figure" }, made("input", { name: field, inputmode: "decimal", autocomplete: "off", "aria-labelledby": "q-" + field }), made("span", {}, q.u ?? ""), ...(q.p ? [photograph(field, q.p)] : [])));
  out.append(made("p", { class: "meaning", "aria-live": "polite" }));
  return out;
}

/** Leads to where a photograph answers it. @param {string} field @param {string} words */
function photograph(field, words) {
  const [, position, check] = field.split(".");
  return made("a", { class: "onward", href: "/v/" + document.body.dataset.vehicle + "/count?" + new URLSearchParams({ position, check }) }, words);
}

/** @param {string} field @param {string} value @param {string} says */
function answer(field, value, says) {
  return made("label", { class: "answer" }, made("input", { type: "radio", name: field, value }), says);
}

/** @param {string} field */
function none(field) {
  return made("label", { class: "answer none soft" }, made("input", { type: "radio", name: field, value: "", checked: "" }), inWords("Not looked at"));
}
