// What is told of the rim on the bench: its sentences and its numbers.

import { at, made } from "/elements.js";
import { asked, explained, sentence } from "/explain.js";
import { showNumbers } from "/others.js";
import { quantity, unparted } from "/words.js";

/** @type {[string, string, string, number][]} key, name, unit, and whether more is better */
const NUMBERS = [
  ["yield_N", "first yield", "N", 1],
  ["set_N", "permanent set", "N", 1],
  ["peak_MPa", "stress at the strike", "MPa", -1],
  ["mass_g", "mass", "g", -1],
];
const LISTS = ["numbers", "ladder", "each"], LINES = ["verdict", "blow", "sentences", "dented"];
let words = {}; // what headings mean

/** @param {{words: Record<string, string>}} given */
export function told(given) {
  ({ words } = given);
  for (const head of document.querySelectorAll("#place-rim thead th")) explained(head, words[head.textContent]);
}

/**
 * All of it. A draft leaves the sentences of the last fine answer, told as old.
 * @param {any} shown @param {any} pinned what it is put beside @param {boolean} asking whether the
 * class still guesses
 */
export function tell(shown, pinned, asking) {
  const rough = Boolean(shown.error_percent);
  document.body.classList.toggle("guessing", asking);
  at("guess").hidden = !asking;
  at("verdict").replaceChildren(...(asking ? [] : [sentence(shown.verdict, "span")]));
  numbers(shown, pinned, asking);
  climb(shown.ladder);
  at("dented").replaceChildren();
  at("dent").hidden = at("dented").hidden = asking;
  rows("each", shown.walls.map((each) => [each.wall, quantity(each.yield_N, "N"), quantity(each.set_N, "N")]));
  if (!rough) {
    at("blow").replaceChildren(...shown.told.map((each, k) => {
      const line = sentence(each);
      line.classList.toggle("warned", shown.warned[k]);
      return line;
    }));
    at("sentences").replaceChildren(...shown.sentences.map((each) => sentence(each)));
  }
  at("blow").classList.toggle("old", rough);
  at("blow").hidden = at("sentences").hidden = asking;
}

/** The main numbers, those pinned beside them. */
export function numbers(shown, pinned, asking) {
  at("numbers").tBodies[0].replaceChildren(...NUMBERS.map(([key, name, unit, better]) => {
    const row = made("tr"), value = shown.numbers[key];
    const wall = key === "set_N" && !asking ? ` (${shown.set_wall})` : "";
    const head = explained(made("th", name + wall, { scope: "row" }), words[name]);
    row.append(head, asked(made("td", quantity(value, unit), { id: "now-" + key }), name, words[name]));
    if (pinned) row.append(...apart(value, pinned.numbers[key], unit, better));
    return row;
  }));
  showNumbers(shown.numbers);
}

function apart(value, was, unit, better) {
  const change = value && was ? 100 * (value / was - 1) : null;
  const flat = change === null || Math.abs(change) < 0.05;
  const kind = flat ? "" : change * better > 0 ? " better" : " worse";
  return [made("td", quantity(was, unit), { className: "base" }),
    made("td", change === null ? "-" : `${change > 0 ? "+" : ""}${change.toFixed(1)}\u00a0%`, { className: "base" + kind })];
}

/** What happens as the drop grows. @param {any[]} ladder */
export function climb(ladder) {
  rows("ladder", ladder.map((each) => [each.event, each.force, `${Math.round(each.drop_mm)} mm`, each.air]));
  [...at("ladder").tBodies[0].rows].forEach((row, k) => explained(row.cells[0], ladder[k].means));
}

/** Nothing is known yet. */
export function clear() {
  for (const id of LINES) at(id).replaceChildren();
  for (const id of LISTS) at(id).tBodies[0].replaceChildren();
}

/** How far the answer is. @param {string} text @param {string} [word] its first words, if they have a meaning */
export function state(text, word = "") {
  at("state").replaceChildren(...(word ? [explained(made("span", word), words[word])] : []), unparted(text));
}

/** What is wrong: at each dimension its own, else above the drawing. @param {string[]} keys
 * @param {{key: string, told: string}[]} faults @param {string} [whole] */
export function blame(keys, faults, whole = "") {
  for (const key of keys) {
    const own = faults.filter((each) => each.key === key).map((each) => each.told).join(" ");
    at("wrong-dim-" + key).textContent = unparted(own);
    if (own) at("dim-" + key).closest("details").open = true;
  }
  at("problem").textContent = faults.some((each) => keys.includes(each.key)) ? "" : whole;
  at("which-unit").hidden = true;
}

function rows(id, lines) {
  const heads = [...at(id).tHead.rows[0].cells].map((cell) => cell.textContent);
  at(id).tBodies[0].replaceChildren(...lines.map((cells) => {
    const row = made("tr");
    row.append(...cells.map((cell, k) => {
      const there = made("td", unparted(cell));
      return k ? asked(there, heads[k], words[heads[k]]) : there;
    }));
    return row;
  }));
}
