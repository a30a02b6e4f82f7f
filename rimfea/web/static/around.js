// "Around the rim": how far a blow is felt, and how the bare rim rings.

import { Asking } from "/asking.js";
import { at } from "/elements.js";

const shown = new Asking("around-answer", "around");
let current;

/** @param {{current: () => any}} given */
export function around(given) {
  ({ current } = given);
  at("tones").addEventListener("submit", (event) => { event.preventDefault(); entered(); });
}

/** As the place comes into sight, or the rim or its set-up has changed. */
export function entered() {
  const heard = at("heard").value.split(/[\s;]+/).filter(Boolean).map((each) => Number(each.replace(",", ".")));
  const wrong = heard.some((each) => !Number.isFinite(each));
  at("heard-wrong").textContent = wrong ? "Tones in Hz with blanks in between, such as 129 151.5" : "";
  const rim = current();
  if (!wrong && rim) shown.show({ ...rim, ...(heard.length ? { heard } : {}) });
}
