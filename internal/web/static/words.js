// @ts-check
// What scripts say, in the page's language: English is its own key, and a page in another language brings the rest.

/** @type {Record<string, string>} */
const of = JSON.parse(document.getElementById("words")?.textContent || "{}");

/** A text in the page's language; each %s, or %[2]s, is what it holds. @param {string} text @param {...(string | number)} holds */
export function inWords(text, ...holds) {
  let n = 0;
  return (of[text] ?? text).replace(/%(?:\[(\d)\])?s/g, (_, i) => String(holds[i ? i - 1 : n++]));
}
