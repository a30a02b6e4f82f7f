// The rims that can be chosen: those of the program, those measured in this browser, those of the
// lessons; and how a request names each.

import { at, made } from "/elements.js";

const OWN = "own:", TAUGHT = "lesson:"; // before the id of a sheet kept here, before a lesson's rim
let choices, kept;

/** @param {{choices: any, kept: any}} given */
export function rims(given) { ({ choices, kept } = given); }

/** Offer them, with the one chosen kept. */
export function offer() {
  const chosen = at("rim").value, own = kept.all().filter((sheet) => sheet.text);
  const group = (label, options) => {
    const box = made("optgroup", "", { label });
    box.append(...options);
    return box;
  };
  const there = choices.rims.map((name) => new Option(name, name));
  const taught = Object.keys(choices.lesson_rims).map((name) => new Option(name, TAUGHT + name));
  const groups = [["Measured here", own.map((sheet) => new Option(sheet.name, OWN + sheet.id))],
    ["From files", there], ["Of the lessons", taught]].filter(([, each]) => each.length);
  at("rim").replaceChildren(...(groups.length > 1 ? groups.map(([label, each]) => group(label, each)) : there));
  at("rim").value = chosen;
  if (!at("rim").value && choices.rims.length) at("rim").value = choices.rims[0];
  if (!at("rim").value && at("rim").options.length) at("rim").selectedIndex = 0;
}

/** Every rim that can be chosen, and how a request names it. */
export function all() {
  return [...at("rim").options].map((each) => ({ value: each.value, name: each.textContent, asked: named(each.value) }));
}

/** Choose a sheet that was measured here. @param {string} id */
export function chooseOwn(id) { at("rim").value = OWN + id; }

/** Choose a rim by its name; one of a lesson if none other is called so. @param {string} name */
export function chooseNamed(name) {
  const there = all().find((each) => each.name === name);
  at("rim").value = there ? there.value : TAUGHT + name;
}

/** Whether there is any beside those of the lessons. */
export const any = () => all().some((each) => !each.value.startsWith(TAUGHT));

/** The record of the one chosen, if it was measured here. @returns {?import("./kept.js").Kept} */
export const ownSheet = () => own(at("rim").value);

/** The one chosen, as it stands in its sheet. */
export const chosen = () => at("rim").value + (ownSheet()?.text || "");

/** How a request names the one chosen. */
export const asked = () => named(at("rim").value);

const own = (value) => (value.startsWith(OWN) ? kept.get(value.slice(OWN.length)) : null);

function named(value) { // a rim that is not the program's goes along as its sheet
  const sheet = own(value);
  if (sheet) return { rim: sheet.name, sheet: sheet.text };
  const taught = value.startsWith(TAUGHT) ? value.slice(TAUGHT.length) : "";
  return taught ? { rim: taught, sheet: choices.lesson_rims[taught] } : { rim: value };
}
