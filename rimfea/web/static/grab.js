// What a hand takes hold of in a drawing, and what pulling it makes of a dimension. Plain geometry,
// in mm: x across the rim, y outward.

/**
 * @typedef {[number, number]} Point
 * @typedef {{start: Point, end: Point, hold: string, touches: ?[Point, Point], is_even: boolean}} Jaws
 * @typedef {{key: string, point: Point, along: Point, gain: number}} Grip
 * A place that can be pulled: along which way, and how much the dimension gains for each mm.
 */

/** The ends of the jaws of these dimensions. @param {Record<string, Jaws>} jaws
 * @param {string[]} keys @returns {Grip[]} */
export function ends(jaws, keys) {
  return keys.filter((key) => jaws[key] && jaws[key].hold !== "here").flatMap((key) => {
    const { start, end, is_even } = jaws[key], along = unit(start, end);
    if (!along) return [];
    const far = { key, point: end, along, gain: is_even ? 2 : 1 };
    return is_even ? [far, { key, point: start, along: /** @type {Point} */ ([-along[0], -along[1]]), gain: 2 }] : [far];
  });
}

/**
 * The nearest face within reach, pulled out of the metal, which lies to the left of every edge.
 * @param {Point[][]} rings @param {(?string)[][]} keys of the dimension that each edge belongs to
 * @param {Point} place @param {number} reach @returns {?Grip}
 */
export function face(rings, keys, place, reach) {
  let found = null, least = reach;
  rings.forEach((ring, r) => ring.forEach((from, k) => {
    const to = ring[(k + 1) % ring.length], key = keys[r][k], way = unit(from, to);
    if (!key || !way) return;
    const long = Math.hypot(to[0] - from[0], to[1] - from[1]);
    const share = Math.min(long, Math.max(0, (place[0] - from[0]) * way[0] + (place[1] - from[1]) * way[1]));
    const point = /** @type {Point} */ ([from[0] + share * way[0], from[1] + share * way[1]]);
    const off = Math.hypot(place[0] - point[0], place[1] - point[1]);
    if (off < least) {
      least = off;
      found = { key, point, along: /** @type {Point} */ ([way[1], -way[0]]), gain: 1 };
    }
  }));
  return found;
}

/** The nearest of some grips within reach. @param {Grip[]} grips @param {Point} place
 * @param {number} reach @returns {?Grip} */
export function nearest(grips, place, reach) {
  const off = (grip) => Math.hypot(place[0] - grip.point[0], place[1] - grip.point[1]);
  const near = grips.filter((grip) => off(grip) < reach);
  return near.sort((one, other) => off(one) - off(other))[0] || null;
}

/** What a dimension becomes when its grip is pulled from one place to another.
 * @param {Grip} grip @param {number} value @param {Point} from @param {Point} to */
export function pulled(grip, value, from, to) {
  return value + grip.gain * ((to[0] - from[0]) * grip.along[0] + (to[1] - from[1]) * grip.along[1]);
}

/** @param {Point} from @param {Point} to @returns {?Point} */
function unit(from, to) {
  const long = Math.hypot(to[0] - from[0], to[1] - from[1]);
  return long < 1e-9 ? null : [(to[0] - from[0]) / long, (to[1] - from[1]) / long];
}
