// The section of the rim on the bench, and the hand in it that pulls a face of a wall or the end of
// a width.

import { at } from "/elements.js";
import { ends, face, nearest, pulled } from "/grab.js";
import { outlines } from "/others.js";
import { View, roomOf } from "/section.js";
import { snapped } from "/sliders.js";
import { quantity } from "/words.js";

const REACH = 9, FINGER = 22; // pixels from a face within which it is taken hold of
const OVER_ALL = "widths and heights"; // the group of dimensions whose jaws always have room

/**
 * What the drawing is of: the answer that is shown and the one pinned; the dimensions, their sizes
 * and jaws; the one in hand; whether nothing can be pulled, or the class still guesses.
 * @typedef {{shown: any, pinned: any, triangles: number[], sliders: any[], now: Record<string, number>,
 *   jaws: Record<string, import("./grab.js").Jaws>, hand: string, fixed: boolean, guessing: boolean}} Seen
 */

export class Drawn {
  /**
   * @param {{shades: string[], walls: string[]}} choices @param {() => Seen} seen
   * @param {{near: (key: string) => void, gone: () => void, take: (key: string) => void,
   *   moving: (key: string, value: number) => void, released: () => void}} does what a hand in it does
   */
  constructor(choices, seen, does) {
    this.choices = choices; this.seen = seen; this.does = does;
    this.hover = this.pull = this.view = null;
    this.canvas = at("section");
    this.#hands();
    const pen = at("scale").getContext("2d");
    choices.shades.forEach((colour, k) => { pen.fillStyle = colour; pen.fillRect(5 * k, 0, 5, 10); });
    addEventListener("resize", () => this.draw());
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.draw());
  }

  /** As it is now. */
  draw() {
    const seen = this.seen(), { shown, pinned, guessing } = seen;
    if (!shown || !this.canvas.clientWidth) return;
    const view = this.view = new View(this.canvas, this.pull ? this.pull.room : this.#room(seen));
    view.shade(shown.nodes, shown.share, seen.triangles, this.choices.shades, !shown.error_percent);
    view.outline(shown.rings);
    if (pinned) view.outline(pinned.rings, view.mark, 1.6, [5, 4]);
    for (const rings of outlines()) view.outline(rings, view.ink, 0.9, [1.5, 3]);
    if (!guessing) view.cut(shown.cut, `${shown.governing}, ${quantity(shown.numbers.yield_N, "N")}`);
    const key = this.pull?.key || this.hover?.key || seen.hand;
    if (seen.jaws[key] && !seen.fixed) view.jaws(seen.jaws[key], `${this.#one(key).word} ${Number(seen.now[key].toFixed(2))}`);
    if (!seen.fixed && this.hover) this.#handles().forEach((each) => view.handle(each.point));
    this.canvas.setAttribute("aria-label", guessing ? "Section of the rim" :
      `Section of the rim, a line across the ${shown.governing} where it yields first`);
  }

  /** Its metal alone, until it is known what that bears. @param {import("./grab.js").Point[][]} rings */
  bare(rings) {
    this.hover = null;
    if (!this.canvas.clientWidth) return;
    this.view = new View(this.canvas, roomOf(rings, []));
    this.view.fill(rings);
    this.view.outline(rings);
  }

  #one(key) { return this.seen().sliders.find((each) => each.key === key); }

  #overAll() { return this.seen().sliders.filter((each) => each.group === OVER_ALL).map((each) => each.key); }

  #room({ shown, pinned, jaws, fixed }) {
    const rings = [shown.rings, ...(pinned ? [pinned.rings] : []), ...outlines()].flat();
    return roomOf(rings, fixed ? [] : this.#overAll().map((key) => jaws[key]).filter(Boolean));
  }

  #handles() {
    const { jaws, hand } = this.seen();
    return ends(jaws, [...this.#overAll(), ...(hand ? [hand] : [])]);
  }

  #keysOfEdges() { // a spoke bed that is one wall with the nipple seat is pulled as that
    const { sliders, shown } = this.seen(), { walls } = this.choices;
    const keys = walls.map((name) => sliders.find((each) => each.word === name)?.key);
    keys[walls.indexOf("spoke bed")] ||= keys[walls.indexOf("nipple seat")];
    return shown.edges.map((ring) => ring.map((k) => keys[k] || null));
  }

  #gripAt(event, reach) {
    const { shown, fixed } = this.seen();
    if (!this.view || !shown || fixed) return null;
    const place = this.view.place(event), far = this.view.mm(reach);
    const grip = nearest(this.#handles(), place, far) || face(shown.rings, this.#keysOfEdges(), place, far);
    return grip && { grip, place };
  }

  #hands() {
    const { canvas, does } = this;
    canvas.addEventListener("pointerdown", (event) => {
      const found = this.#gripAt(event, event.pointerType === "touch" ? FINGER : REACH);
      if (!found) return;
      const { key } = found.grip, seen = this.seen();
      this.pull = { ...found, key, value: seen.now[key], room: this.#room(seen) };
      canvas.setPointerCapture(event.pointerId);
      does.take(key);
    });
    canvas.addEventListener("pointermove", (event) => (this.pull ? this.#pulled(event) : this.#near(event)));
    canvas.addEventListener("pointerleave", () => {
      does.gone();
      if (this.hover && !this.pull) { this.hover = null; this.draw(); }
    });
    for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, () => {
      if (!this.pull) return;
      this.pull = null;
      does.released();
      this.draw();
    });
    canvas.addEventListener("touchstart", (event) => { // a finger beside every face scrolls the page
      if (this.#gripAt(event.touches[0], FINGER)) event.preventDefault();
    }, { passive: false });
  }

  #pulled(event) {
    const { key, grip, value, place } = this.pull, each = this.#one(key);
    const wanted = pulled(grip, value, place, this.view.place(event));
    const within = snapped(each, Math.min(each.high, Math.max(each.low, wanted)));
    if (within !== this.seen().now[key]) this.does.moving(key, within);
  }

  #near(event) {
    const found = event.pointerType === "touch" ? null : this.#gripAt(event, REACH);
    if (found?.grip.key !== this.hover?.key || Boolean(found) !== Boolean(this.hover)) {
      this.hover = found?.grip || null;
      this.draw();
    }
    const upright = found && Math.abs(found.grip.along[1]) > Math.abs(found.grip.along[0]);
    this.canvas.className = found ? (upright ? "up" : "across") : "";
    if (found) this.does.near(found.grip.key);
  }
}
