// "Side by side": the rim on the bench against others.

import { ask } from "/ask.js";
import { Asking } from "/asking.js";
import { at, download, made } from "/elements.js";

const MOST = 5;
const looked = new Asking("beside-answer", "beside"), ranked = new Asking("ranks-answer", "ranks"),
  swapped = new Asking("swaps-answer", "swaps");
let current, rims, chosen = [];

/** @param {{current: () => any, rims: () => {value: string, name: string, asked: object}[]}} given */
export function beside(given) {
  ({ current, rims } = given);
  at("others").addEventListener("change", ({ target }) => {
    chosen = target.checked ? [...chosen, target.value] : chosen.filter((each) => each !== target.value);
    entered();
  });
  at("rank").addEventListener("click", () => ranked.show(body(), "each rim takes some seconds"));
  at("beside-report").addEventListener("click", report);
  at("swap").addEventListener("click", () => swapped.show(body(), "this takes about a minute"));
}

/** Those that are chosen, and how a request names them. */
export const others = () => rims().filter((each) => chosen.includes(each.value));

/** Against these. @param {string[]} names */
export function against(names) {
  const there = rims().filter((each) => names.includes(each.name));
  chosen = names.map((name) => there.find((each) => each.name === name)?.value).filter(Boolean);
}

/** As the place comes into sight, or the rim or its set-up has changed. */
export function entered() {
  const there = rims().filter((each) => each.value !== at("rim").value);
  chosen = chosen.filter((value) => there.some((each) => each.value === value));
  at("others").replaceChildren(made("legend", `Against, up to ${MOST}`), ...there.map(({ value, name }) => {
    const label = made("label", "", { className: "tick" }), checked = chosen.includes(value);
    label.append(made("input", "", { type: "checkbox", value, checked, disabled: !checked && chosen.length >= MOST }), name);
    return label;
  }));
  at("rank").disabled = !chosen.length;
  at("beside-report").disabled = !chosen.length;
  at("swap").disabled = chosen.length !== 1;
  if (chosen.length) looked.show(body()); else looked.clear();
  for (const each of [ranked, swapped]) if (each.known && each.known !== JSON.stringify(body())) each.clear();
}

async function report() { // what the ranks are, as a page to mail
  at("ranks-answer-state").textContent = "the report is written: each rim takes some seconds";
  try {
    const told = await ask("comparison", body(), { channel: "comparison" });
    download(told.name, told.text);
    at("ranks-answer-state").textContent = "";
  } catch (error) {
    at("ranks-answer-state").textContent = error.message;
  }
}

function body() {
  const rim = current();
  return rim && { ...rim, others: others().map((each) => each.asked) };
}
