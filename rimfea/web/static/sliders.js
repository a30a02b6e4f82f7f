// One dimension that can be tried: a slider with the ± of what was measured, and a number to type.

import { at, made } from "/elements.js";
import { signed, stepped, unparted } from "/words.js";

/**
 * @typedef {{key: string, word: string, group: string, value: number, low: number, high: number,
 *   doubt: number, is_measured: boolean, meaning: string}} Slider
 */

export const STEP = 0.05;

/** A value in steps from what was measured. @param {Slider} each @param {number} value */
export function snapped(each, value) { return stepped(value, each.value, STEP); }

/** What is told of the dimension in hand. @param {Slider} each @returns {(Node | string)[]} */
export function meaning(each) {
  return [made("strong", each.word), unparted(`: ${each.meaning}. ${each.is_measured ? "Measured" : "Assumed"} ${shown(each.value)} ± ${each.doubt.toFixed(2)} mm.`)];
}

/** @param {Slider} each @param {string} [colour] of a wall in pictures */
export function slider(each, colour) {
  const box = made("div", "", { className: "wall", id: "dim-" + each.key });
  const label = made("label", "", { for: "range-" + each.key, title: each.meaning });
  if (colour) {
    const spot = made("span", "", { className: "spot" });
    spot.style.background = colour;
    label.append(spot);
  }
  label.append(each.word, made("span", "", { className: "change", id: "change-" + each.key }));
  const track = made("div", "", { className: "track" }), band = made("span", "", { className: "doubt" });
  band.title = `± ${each.doubt.toFixed(2)} mm: what the caliper, or a guess, leaves open`;
  const range = input(each, "range"), typed = input(each, "number");
  typed.setAttribute("aria-label", `${each.word}, mm`);
  range.setAttribute("aria-describedby", "wrong-dim-" + each.key);
  track.append(band, range);
  box.append(label, typed, track, made("p", "", { className: "wrong", id: "wrong-dim-" + each.key }));
  placeBand(band, each, range);
  return box;
}

/** @param {Slider} each @param {number} value */
export function showValue(each, value) {
  const range = at("range-" + each.key), typed = at("number-" + each.key);
  range.min = Math.min(range.min, value); // beyond its ends only for a number typed in
  range.max = Math.max(range.max, value);
  for (const box of [range, typed]) if (Number(box.value) !== value) box.value = value;
  placeBand(range.previousSibling, each, range);
  at("change-" + each.key).textContent = signed(value - each.value, 2);
}

function placeBand(band, each, range) {
  const low = Number(range.min), long = Number(range.max) - low;
  const share = (value) => Math.min(1, Math.max(0, (value - low) / long));
  band.style.setProperty("--from", share(each.value - each.doubt));
  band.style.setProperty("--to", share(each.value + each.doubt));
}

function input(each, kind) {
  const box = made("input", "", { type: kind, id: `${kind}-${each.key}` });
  box.dataset.key = each.key;
  if (kind === "range") { // a fine grid under the hand, snapped to steps from what was measured
    Object.assign(box, { min: snapped(each, each.low), max: snapped(each, each.high), step: STEP });
  } else Object.assign(box, { step: "any", inputMode: "decimal" });
  box.value = shown(each.value);
  return box;
}

function shown(value) { return Number(value.toFixed(3)); }
