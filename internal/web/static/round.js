// @ts-check
// A round, one stop a screen: sound, something, not seen. Something opens the checks
// of the position; what a glance does not answer is asked by itself. Every touch is
// kept on this device before the next screen is shown.

import { draftOf, fill, forget, keepDraft, newID, store } from "./draft.js";
import { meaningOf, plates, tableOf, word } from "./meaning.js";
import { byTouch, numberPad } from "./pad.js";
import { questions } from "./questions.js";
import { inWords } from "./words.js";

/** @typedef {"start" | "opened" | "stage" | "names" | "stop" | "list" | "check" | "asked" | "end"} Mode */

const idle = 300_000; // ms without a touch that count as used at the most

/** @param {HTMLFormElement} form */
export function round(form) {
  const vehicle = document.body.dataset.vehicle ?? "";
  const screens = /** @type {HTMLElement[]} */ ([...form.querySelectorAll("[data-screen]")]);
  const stops = screens.filter((s) => s.dataset.screen === "stop");
  const names = /** @type {HTMLElement} */ (form.querySelector("[data-names]"));
  const strip = /** @type {HTMLElement} */ (form.querySelector(".strip"));
  const told = /** @type {HTMLElement} */ (form.querySelector(".told"));
  const bays = [...form.querySelectorAll("figure.bay")].map(bayOf);
  const table = tableOf(form), layOut = questions(form), pad = numberPad(), picks = document.createElement("div");
  picks.className = "picks";
  const others = document.createElement("button"); // to the answers that find no room
  others.type = "button";
  others.className = "others";
  others.textContent = inWords("Other answers");
  /** @type {Set<number>} */
  const passed = new Set(); // stops not seen, by their place among the stops
  const odometer = /** @type {HTMLInputElement | null} */ (form.querySelector("[name=odometer]")); // asked again at the end
  let at = 0, used = 0, touched = Date.now();
  /** @type {Mode} */
  let mode = "start";
  /** @type {HTMLElement | undefined} */
  let check; // that is asked
  /** @type {HTMLElement[]} */
  let later = []; // asked, and put off
  let aside = false; // a note is taken down before a stop is decided

  /** @param {Element} s @returns {HTMLInputElement | null} */
  const glance = (s) => s.querySelector(".glance input");
  /** @param {Element} c */
  const answer = (c) => [.../** @type {NodeListOf<HTMLInputElement>} */ (c.querySelectorAll("input"))].find((i) => (i.type !== "radio" || i.checked) && i.value.trim());
  /** @param {Element} s */
  const checks = (s) => /** @type {HTMLElement[]} */ ([...unfolded(s).querySelectorAll(".check")]);
  /** @param {Element} s */
  const note = (s) => /** @type {HTMLTextAreaElement} */ (unfolded(s).querySelector(".note textarea"));
  /** What was not unfolded holds no answer. @param {HTMLElement} s */
  const answered = (s) => [...s.querySelectorAll(".check")].some(answer) || s.querySelector("template[data-asks]") === null && note(s).value.trim() !== "";
  /** @param {HTMLElement} s */
  const decided = (s) => glance(s)?.checked || passed.has(stops.indexOf(s)) || answered(s);
  /** @param {HTMLElement} s */
  const nameOf = (s) => s.querySelector("h3")?.lastChild?.textContent ?? "";
  /** What is asked by itself and not answered yet. @param {HTMLElement} s */
  const open = (s) => passed.has(stops.indexOf(s)) ? [] : checks(s).filter((c) => c.dataset.asked !== undefined && !answer(c) && !later.includes(c));

  function save() {
    const now = Date.now();
    used += Math.min(idle, now - touched);
    touched = now;
    if (!keepDraft(vehicle, { at, used, passed: [...passed] }, /** @type {any} */ (new FormData(form)))) told.textContent = inWords("This device is full: finish the round now.");
  }

  /** The stop, with its questions, which are laid out once they are wanted. @param {Element} s */
  function unfolded(s) {
    layOut(s);
    if (table) plates(table, s.querySelectorAll(".check"));
    if (byTouch()) for (const input of /** @type {NodeListOf<HTMLInputElement>} */ (s.querySelectorAll(".figure input"))) input.inputMode = "none"; // the pad is there
    return s;
  }

  /** Shows what the place and the mode say. @param {boolean} [still] nothing was touched */
  function show(still) {
    const s = screens[at], walking = mode !== "start" && mode !== "end";
    screens.forEach((each, i) => { each.hidden = i !== at || mode === "names"; });
    names.hidden = mode !== "names";
    strip.hidden = mode === "start";
    told.hidden = !["stop", "stage", "end"].includes(mode);
    s.dataset.mode = mode;
    document.body.classList.toggle("walking", walking);
    document.body.classList.toggle("ending", mode === "end");
    document.body.style.setProperty("--head", document.querySelector("header")?.offsetHeight + "px");
    for (const b of /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll("[data-for]"))) b.hidden = !b.dataset.for?.split(" ").includes(mode) || (b.dataset.do === "sound" && !glance(s));
    for (const b of form.querySelectorAll("[data-do=shot]")) b.textContent = inWords("Picture");
    if (mode === "list") s.append(listOf(s));
    if (check?.querySelector(".figure") && byTouch()) check.append(pad);
    else pad.remove();
    if (mode !== "list") picks.remove();
    if (check?.dataset.caution) { // on the long form it stands at a check before this one
      const before = document.createElement("span");
      before.className = "caution again";
      before.textContent = check.dataset.caution;
      delete check.dataset.caution;
      check.querySelector("legend")?.prepend(before);
    }
    cautions(s);
    progress(s);
    if (mode === "end") sum();
    if (mode === "end" && !odometer?.value) s.querySelector("[data-reading]")?.append(odometer?.closest(".field") ?? "");
    fit();
    if (mode === "stop") bays.forEach((bay) => bay.show(s));
    if (still) return;
    const head = (mode === "names" ? names : s).querySelector("h2, h3");
    if (head instanceof HTMLElement) { head.tabIndex = -1; head.focus({ preventScroll: true }); }
    scrollTo(0, 0);
  }

  /** Whether there is something to scroll. */
  const scrolls = () => document.documentElement.scrollHeight > innerHeight;

  /** Makes a screen closer that would scroll; answers that still find no room come by a touch. */
  function fit() {
    form.classList.remove("two", "tight", "small", "low");
    for (const closer of ["stop", "list"].includes(mode) ? ["tight"] : ["two", "tight", "small", "low"]) if (mode !== "opened" && scrolls()) form.classList.add(closer);
    const all = check ? /** @type {HTMLElement[]} */ ([...check.querySelectorAll(".answer:not(.none)")]) : [];
    all.forEach((a) => { a.hidden = false; });
    others.remove();
    if (!all.length || !scrolls()) return;
    all[0].parentElement?.append(others);
    let from = Math.max(0, all.findIndex((a) => a.dataset.first !== undefined));
    all.forEach((a, i) => { a.hidden = i < from; });
    for (let to = all.length - 1; to > from && scrolls(); to--) all[to].hidden = true;
  }

  others.addEventListener("click", () => {
    const all = /** @type {HTMLElement[]} */ ([...(check?.querySelectorAll(".answer:not(.none)") ?? [])]);
    const next = all.findIndex((a, i) => a.hidden && i > 0 && !all[i - 1].hidden);
    all.forEach((a) => { delete a.dataset.first; });
    all[Math.max(0, next)].dataset.first = "";
    fit();
  });

  /** A caution stands once in each section. @param {HTMLElement} s */
  function cautions(s) {
    const from = stageOf(at), before = new Set();
    for (const each of screens.slice(from, at + 1)) {
      const here = each === s ? (check ? [...s.querySelectorAll(":scope > .caution"), ...check.querySelectorAll(".caution")] : s.querySelectorAll(":scope > .caution")) : each.querySelectorAll(":scope > .caution");
      for (const c of /** @type {Iterable<HTMLElement>} */ (here)) {
        if (each === s) c.hidden = before.has(c.textContent) && c.classList.contains("again");
        before.add(c.textContent);
      }
    }
  }

  /** The section that a screen stands in, by its place. @param {number} n */
  function stageOf(n) {
    while (n > 0 && screens[n].dataset.screen !== "stage") n--;
    return n;
  }

  /** @param {HTMLElement} s */
  function progress(s) {
    const n = stops.filter((each) => screens.indexOf(each) < at).length, bar = strip.querySelector("progress");
    if (bar) bar.value = n;
    const count = strip.querySelector("[data-count]");
    if (count) count.textContent = inWords("%s of %s, %s min", stops.includes(s) ? n + 1 : n, stops.length, Math.round(used / 60_000));
  }

  /** The checks of a stop to choose from, the likeliest first. @param {HTMLElement} s */
  function listOf(s) {
    const order = checks(s).sort((a, b) => Number(a.dataset.likely) - Number(b.dataset.likely));
    picks.replaceChildren(...order.map((c) => {
      const said = answer(c), label = said?.type === "radio" ? said.parentElement?.textContent : said?.value;
      return pick(c.dataset.title ?? "", label, () => go("check", c));
    }), pick(inWords("Note"), note(s).value, writes));
    return picks;
  }

  /** @param {string} title @param {string | null | undefined} said @param {() => void} touch */
  function pick(title, said, touch) {
    const b = document.createElement("button");
    b.type = "button";
    b.textContent = title;
    if (said) {
      const small = document.createElement("span");
      small.className = "soft";
      small.textContent = said.trim();
      b.append(small);
    }
    b.addEventListener("click", touch);
    return b;
  }

  /** Opens the note of a stop: keys, and their microphone, come with it. */
  function writes() {
    const undecided = mode === "stop", text = note(screens[at]);
    go("check", /** @type {HTMLElement} */ (text.parentElement));
    aside = undecided;
    text.focus({ preventScroll: true });
  }

  /** @param {Mode} to @param {HTMLElement} [c] */
  function go(to, c) {
    mode = to;
    aside = false;
    check?.classList.remove("on");
    check = c;
    c?.classList.add("on");
    show();
    save();
  }

  /** @param {number} n the screen to go to */
  function move(n) {
    at = Math.max(0, Math.min(screens.length - 1, n));
    later = [];
    go(/** @type {Mode} */ (screens[at].dataset.screen));
  }

  /** Goes on: to what is asked by itself, then to the next screen that is not decided. */
  function on() {
    if (aside) return go("stop");
    const s = screens[at], next = stops.includes(s) ? open(s)[0] : undefined;
    if (next) return go("asked", next);
    if (mode === "check" || mode === "list") told.textContent = answered(s) ? inWords("%s: answered", nameOf(s)) : nameOf(s);
    let n = at + 1;
    while (screens[n]?.dataset.screen === "stop" && decided(screens[n]) && !open(screens[n]).length) n++;
    move(n);
    if (mode === "stop" && decided(screens[at])) go("asked", open(screens[at])[0]);
  }

  /** The names of a section, each to be touched. */
  function byName() {
    const here = [];
    for (let n = at + 1; screens[n]?.dataset.screen === "stop"; n++) here.push(screens[n]);
    const head = names.querySelector("h3");
    if (head) head.textContent = screens[at].querySelector("h2")?.textContent ?? "";
    names.querySelector(".picks")?.replaceChildren(...here.map((s) => {
      const b = pick(nameOf(s), says(s), () => { touch(s); b.replaceChildren(...pick(nameOf(s), says(s), () => {}).childNodes); });
      return b;
    }));
    go("names");
  }

  /** @param {HTMLElement} s */
  function says(s) {
    if (answered(s)) return inWords("answered");
    return glance(s)?.checked ? inWords("sound") : passed.has(stops.indexOf(s)) ? inWords("passed") : s.querySelector(".last[data-today]") ? inWords("answered today") : glance(s) ? "" : inWords("wants an answer");
  }

  /** Touched once more, a name is open again. @param {HTMLElement} s */
  function touch(s) {
    const n = stops.indexOf(s), tick = glance(s), sound = /** @type {HTMLInputElement} */ (names.querySelector("[name=touch]")).checked;
    const was = decided(s);
    passed.delete(n);
    if (tick) tick.checked = !was && sound;
    if (!was && !sound) passed.add(n);
    save();
  }

  /** What was found, before it is kept. */
  function sum() {
    const sound = stops.filter((s) => glance(s)?.checked && !answered(s)).length, said = stops.filter(answered);
    const line = form.querySelector("[data-sum]"), found = form.querySelector("[data-found]");
    if (line) line.textContent = inWords("%s sound at a glance, %s with an answer, %s not seen.", sound, said.length, stops.length - sound - said.length);
    found?.replaceChildren(...said.flatMap((s) => checks(s).map((c) => {
      const given = answer(c), means = given && table && meaningOf(table, given);
      const item = document.createElement("li");
      if (means && means[0] !== "keep") item.append(nameOf(s) + ", " + (c.dataset.title ?? "") + ": ", word(means));
      return item;
    })).filter((item) => item.childNodes.length));
  }

  let stand = ""; // of what was answered today
  /** Shows what another device has answered meanwhile, so that nobody looks twice. */
  async function meanwhile() {
    if (document.hidden) return;
    try {
      const answer = await fetch("/v/" + vehicle + "/round/today", { headers: { Accept: "application/json", "If-None-Match": stand } });
      if (answer.status !== 200) return;
      /** @type {{words: string, stops: Record<string, string>}} */
      const today = await answer.json();
      stand = answer.headers.get("ETag") ?? "";
      for (const s of stops) {
        const said = today.stops[s.dataset.stop ?? ""], last = s.querySelector(".last");
        if (!said || !last) continue;
        last.textContent = said;
        last.setAttribute("data-today", "");
      }
      if (today.words) told.textContent = today.words;
    } catch {
      // the server is not reached: what is shown stands
    }
  }

  /** @type {Record<string, () => void>} */
  const does = {
    back: () => ["stop", "opened", "stage", "end"].includes(mode) ? move(at - 1) : go(/** @type {Mode} */ (screens[at].dataset.screen)),
    end: () => move(screens.length - 1),
    next: () => { mode === "names" && go("stage"); on(); },
    on,
    names: byName,
    note: writes,
    stop: () => go("stop"),
    sound: () => decide(true),
    unseen: () => decide(false),
    something: () => {
      const tick = glance(screens[at]);
      if (tick) tick.checked = false;
      passed.delete(stops.indexOf(screens[at]));
      const all = checks(screens[at]);
      if (mode === "stop" && !tick && all.length === 1) go("check", all[0]);
      else go("list");
    },
    later: () => { if (check) later.push(check); on(); },
    shot: () => {
      const button = form.querySelector(`[data-do=shot][data-for=${mode}]`), [, position, id] = check?.querySelector("input")?.name.split(".") ?? [];
      save(); // it goes with this round
      form.dispatchEvent(new CustomEvent("shot", { detail: { button, position: position ?? screens[at].dataset.stop, check: id ?? "", measured: !!check?.querySelector("input[inputmode]") } }));
    },
  };

  /** @param {boolean} sound or not seen */
  function decide(sound) {
    const s = screens[at], n = stops.indexOf(s), tick = glance(s);
    if (tick) tick.checked = sound;
    if (sound) passed.delete(n); else passed.add(n);
    told.textContent = sound ? inWords("%s: sound, at a glance only", nameOf(s)) : inWords("%s: not seen", nameOf(s));
    save();
    on();
  }

  function restore() {
    const draft = draftOf(vehicle);
    if (!draft?.fields.some(([name]) => /^[an]\./.test(name)) && !draft?.passed?.length || document.querySelector("main .faults")) return;
    const said = draft.fields.map(([name]) => name.split(".")[1]);
    stops.filter((s) => said.includes(s.dataset.stop ?? "")).forEach(unfolded);
    fill(form, draft.fields);
    at = Math.min(screens.length - 1, draft.at);
    used = draft.used ?? 0;
    draft.passed?.forEach((n) => passed.add(n));
    mode = /** @type {Mode} */ (screens[at].dataset.screen);
    const still = document.getElementById("draft");
    if (still) still.hidden = false;
  }

  // The page may come from this device and have been used before: a round of its own needs a batch of
  // its own. A draft brings its batch along, and a round that was refused keeps it.
  const batch = form.elements.namedItem("batch");
  if (batch instanceof HTMLInputElement && !document.querySelector("main .faults")) batch.value = newID();
  form.classList.add("by-step");
  for (const p of /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll(".last, .look"))) p.hidden = false;
  if (document.querySelector("main .faults")) stops.forEach(unfolded); // what was typed came back in them
  restore();
  form.addEventListener("change", () => {
    save();
    fit(); // what it means stands there now
  });
  form.addEventListener("click", ({ target }) => {
    const button = /** @type {Element} */ (target).closest?.("[data-do]");
    if (button instanceof HTMLElement) does[button.dataset.do ?? ""]?.();
  });
  form.addEventListener("input", ({ target }) => { if (target instanceof HTMLTextAreaElement) save(); }); // as it is dictated
  form.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !(event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement)) return;
    event.preventDefault(); // the key goes on; only the button keeps the round
    on();
  });
  form.addEventListener("wrong", ({ target }) => { // a field is to be put right
    const field = /** @type {Element} */ (target);
    at = Math.max(0, screens.findIndex((s) => s.contains(field)));
    go(/** @type {Mode} */ (screens[at].dataset.screen));
    const c = /** @type {HTMLElement | null} */ (field.closest(".check, .note"));
    if (c) go("check", c);
  });
  document.getElementById("drop")?.addEventListener("click", () => {
    if (batch instanceof HTMLInputElement) store("dropped", batch.value); // its pictures too
    forget(vehicle);
    location.reload();
  });
  addEventListener("beforeprint", () => stops.forEach(unfolded));
  addEventListener("resize", () => {
    fit();
    if (mode === "stop") bays.forEach((bay) => bay.show(screens[at]));
  });
  show(true);
  meanwhile();
  setInterval(meanwhile, 15_000);
  document.addEventListener("visibilitychange", meanwhile);
}

/** One side of the vehicle, which shows where a stop is. @param {Element} figure */
function bayOf(figure) {
  /** @type {Record<string, [number, number]>} */
  const spots = JSON.parse(figure.querySelector("template")?.content.textContent ?? "{}");
  const svg = /** @type {SVGSVGElement} */ (figure.querySelector("svg"));
  const [, , wide, high] = (svg.getAttribute("viewBox") ?? "").split(" ").map(Number);
  const mark = document.createElementNS("http://www.w3.org/2000/svg", "circle");
  mark.setAttribute("class", "here");
  mark.setAttribute("r", "9");
  svg.append(mark);
  /** @param {HTMLElement} s */
  const show = (s) => {
    const spot = spots[s.dataset.stop ?? ""], box = /** @type {HTMLElement} */ (figure);
    box.hidden = !spot;
    if (!spot) return;
    s.append(box);
    const { width, height } = box.getBoundingClientRect();
    const part = Math.min(high, (wide * height) / Math.max(1, width));
    box.hidden = height < 60; // too little room to tell anything
    mark.setAttribute("cx", String(spot[0]));
    mark.setAttribute("cy", String(spot[1]));
    svg.setAttribute("viewBox", "0 " + Math.max(0, Math.min(high - part, spot[1] - part / 2)) + " " + wide + " " + part);
  };
  return { show };
}
