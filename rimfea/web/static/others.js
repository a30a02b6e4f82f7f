// The rims that the one on the bench is seen against while it is dragged: their faces in its
// drawing, their numbers beside its own. Which they are is chosen side by side.

import { Gone, Overtaken, Refused, ask } from "/ask.js";
import { at, made } from "/elements.js";
import { quantity } from "/words.js";

/**
 * @typedef {{yield_N: ?number, mass_g: number}} Numbers
 * @typedef {{name: string, told: {rings: any[], numbers: Numbers}}} Other
 */

/** @type {Other[]} */ let others = [];
let wanted = "", number = 0;

/**
 * From now on these. @param {{name: string, asked: object}[]} rims @param {object} shared set-up and
 * wheel, which all have @param {() => void} then what follows once they are known
 */
export async function against(rims, shared, then) {
  const asked = JSON.stringify([rims, shared]);
  if (asked === wanted) return;
  wanted = asked;
  others = [];
  number += 1;
  const found = await Promise.all(rims.map((each, k) => one(each, shared, k)));
  if (asked !== wanted) return;
  others = /** @type {Other[]} */ (found.filter(Boolean));
  then();
}

async function one({ name, asked }, shared, k) {
  try {
    const told = await ask("seen", { ...asked, ...shared, changes: {} }, { number, channel: `other${k}` });
    return { name, told };
  } catch (error) {
    if (error instanceof Refused || error instanceof Gone || error instanceof Overtaken) return null;
    throw error;
  }
}

/** Their faces. */
export const outlines = () => others.map((each) => each.told.rings);

/** Their numbers, and what the rim on the bench has more or less. @param {Numbers} now */
export function showNumbers(now) {
  at("against").hidden = !others.length;
  at("against").tBodies[0].replaceChildren(...others.map(({ name, told: { numbers } }) => {
    const row = made("tr");
    row.append(made("th", name, { scope: "row" }), made("td", quantity(numbers.yield_N, "N")),
      made("td", quantity(numbers.mass_g, "g")), made("td", apart(now, numbers)));
    return row;
  }));
}

/** @param {Numbers} now @param {Numbers} other */
function apart(now, other) {
  const grams = Math.round(now.mass_g - other.mass_g);
  const heavier = grams ? `${Math.abs(grams)}\u00a0g ${grams > 0 ? "heavier" : "lighter"}` : "as heavy";
  if (!now.yield_N || !other.yield_N) return heavier;
  const share = Math.round(100 * (now.yield_N / other.yield_N - 1));
  return `${share ? `yields ${Math.abs(share)}\u00a0% ${share > 0 ? "later" : "sooner"}` : "yields alike"}, ${heavier}`;
}
