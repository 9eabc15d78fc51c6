// @ts-check
// Figures by one thumb: a pad of numbers below the field that is asked.

import { inWords } from "./words.js";

const keys = ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "⌫"];

/** A pad that types into the field it stands below. */
export function numberPad() {
  const pad = document.createElement("div");
  pad.className = "pad";
  for (const key of keys) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = key;
    if (key === "⌫") button.setAttribute("aria-label", inWords("Take the last away"));
    pad.append(button);
  }
  pad.addEventListener("click", ({ target }) => {
    const input = pad.parentElement?.querySelector(".figure input");
    if (!(target instanceof HTMLButtonElement) || !(input instanceof HTMLInputElement)) return;
    const key = target.textContent ?? "";
    input.value = key === "⌫" ? input.value.slice(0, -1) : input.value + key;
    for (const name of ["input", "change"]) input.dispatchEvent(new Event(name, { bubbles: true }));
  });
  return pad;
}

/** Whether figures are typed by touch here, so that the system's own keys stay away. */
export function byTouch() { return matchMedia("(pointer: coarse)").matches; }
