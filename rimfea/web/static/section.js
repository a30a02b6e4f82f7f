// A section on a canvas: its metal, its faces, the wall that gives first, and where a caliper goes.

/**
 * @typedef {import("./grab.js").Point} Point
 * @typedef {import("./grab.js").Jaws} Jaws
 * @typedef {{left: number, right: number, low: number, high: number}} Room in mm
 */

const ROOM_MM = 2.5;
const JAW = 18, REACH = 7, FOOT = 6; // pixels of a jaw: its length, half its face, half a rod's foot

/** The room that some rings take, with jaws beside them. @param {Point[][]} rings
 * @param {Jaws[]} [jaws] @returns {Room} */
export function roomOf(rings, jaws = []) {
  const points = rings.flat().concat(jaws.flatMap((each) => [each.start, each.end]));
  const x = points.map((p) => p[0]), y = points.map((p) => p[1]);
  return { left: Math.min(...x), right: Math.max(...x), low: Math.min(...y), high: Math.max(...y) };
}

/** A pen on a canvas for a room in mm, and the way back from pixels. */
export class View {
  /** @param {HTMLCanvasElement} canvas @param {Room} room */
  constructor(canvas, room) {
    this.ratio = window.devicePixelRatio || 1;
    const wide = canvas.clientWidth, high = canvas.clientHeight;
    canvas.width = wide * this.ratio;
    canvas.height = high * this.ratio;
    this.canvas = canvas;
    this.pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    const across = room.right - room.left + 2 * ROOM_MM, up = room.high - room.low + 2 * ROOM_MM;
    this.pen.font = `${15 * this.ratio}px Georgia, "Liberation Serif", serif`;
    this.size = Math.min(wide / across, high / up) * this.ratio;
    this.middle = [(room.left + room.right) / 2, (room.low + room.high) / 2];
    const style = getComputedStyle(document.body);
    const colour = (name) => style.getPropertyValue(name).trim();
    this.ink = colour("--ink");
    this.mark = colour("--mark");
    this.paper = colour("--sheet");
    this.metal = colour("--metal");
  }

  X = (v) => this.canvas.width / 2 + this.size * (v - this.middle[0]);
  Y = (v) => this.canvas.height / 2 - this.size * (v - this.middle[1]);

  /** Where a pointer is, in mm. @param {PointerEvent | Touch} event @returns {Point} */
  place(event) {
    const box = this.canvas.getBoundingClientRect();
    const x = (event.clientX - box.left) * this.ratio, y = (event.clientY - box.top) * this.ratio;
    return [this.middle[0] + (x - this.canvas.width / 2) / this.size,
      this.middle[1] - (y - this.canvas.height / 2) / this.size];
  }

  /** So many pixels in mm. @param {number} pixels */
  mm(pixels) { return (pixels * this.ratio) / this.size; }

  /** @param {Point[]} points in mm @param {boolean} [closed] */
  #path(points, closed = false) {
    this.pen.beginPath();
    points.forEach(([x, y], k) => (k ? this.pen.lineTo(this.X(x), this.Y(y)) : this.pen.moveTo(this.X(x), this.Y(y))));
    if (closed) this.pen.closePath();
  }

  /** @param {Point[]} points @param {string} colour @param {number} width
   * @param {boolean} [closed] @param {number[]} [dash] */
  #line(points, colour, width, closed = false, dash = []) {
    this.pen.strokeStyle = colour;
    this.pen.lineWidth = width * this.ratio;
    this.pen.setLineDash(dash.map((each) => each * this.ratio));
    this.#path(points, closed);
    this.pen.stroke();
    this.pen.setLineDash([]);
  }

  /** The faces. @param {Point[][]} rings @param {string} [colour] @param {number} [width]
   * @param {number[]} [dash] */
  outline(rings, colour = this.ink, width = 1.2, dash = []) {
    this.pen.lineJoin = "round";
    for (const ring of rings) this.#line(ring, colour, width, true, dash);
  }

  /** Faintly, what is not so yet. @param {boolean} faintly */
  faint(faintly) { this.pen.globalAlpha = faintly ? 0.45 : 1; }

  /** The metal, all of one colour. @param {Point[][]} rings */
  fill(rings) {
    const path = new Path2D();
    for (const ring of rings) {
      ring.forEach(([x, y], k) => (k ? path.lineTo(this.X(x), this.Y(y)) : path.moveTo(this.X(x), this.Y(y))));
      path.closePath();
    }
    this.pen.fillStyle = this.metal;
    this.pen.fill(path, "evenodd");
  }

  /**
   * How much the metal bears, one path a shade: a six-node triangle is four plain ones, or where it
   * need not be fine, such as in a drag, one of six corners.
   * @param {number[]} nodes x, y, x, y, ... @param {number[]} share of each, to 1000
   * @param {number[]} triangles @param {string[]} shades @param {boolean} [finely]
   */
  shade(nodes, share, triangles, shades, finely = true) {
    const paths = shades.map(() => new Path2D()), px = [], py = [];
    for (let k = 0; k < nodes.length; k += 2) { px.push(this.X(nodes[k])); py.push(this.Y(nodes[k + 1])); }
    const one = (...around) => {
      const mean = around.reduce((sum, each) => sum + share[each], 0) / (1000 * around.length);
      const path = paths[Math.min(shades.length - 1, Math.floor(mean * shades.length))];
      around.forEach((each, k) => (k ? path.lineTo(px[each], py[each]) : path.moveTo(px[each], py[each])));
      path.closePath();
    };
    for (let k = 0; k < triangles.length; k += 6) {
      const [a, b, c, ab, bc, ca] = triangles.slice(k, k + 6);
      if (finely) { one(a, ab, ca); one(ab, b, bc); one(ca, bc, c); one(ab, bc, ca); } else one(a, ab, b, bc, c, ca);
    }
    this.pen.lineWidth = 0.8;
    paths.forEach((path, k) => {
      this.pen.fillStyle = this.pen.strokeStyle = shades[k];
      this.pen.fill(path);
      this.pen.stroke(path); // closes the hairlines between triangles
    });
  }

  /** The faces of one wall, lit up. @param {Point[][]} rings @param {number[][]} edges
   * @param {number} wall its place in the list of walls */
  light(rings, edges, wall) {
    rings.forEach((ring, r) => ring.forEach((from, k) => {
      if (edges[r][k] === wall) this.#line([from, ring[(k + 1) % ring.length]], this.mark, 3);
    }));
  }

  /** The cut that yields, a little longer than the wall is thick, with the wall's name between the
   * hooks. @param {[Point, Point]} cut @param {string} name */
  cut([[x0, y0], [x1, y1]], name) {
    const long = Math.hypot(x1 - x0, y1 - y0), [u, v] = [0.9 * (x1 - x0) / long, 0.9 * (y1 - y0) / long];
    const ends = /** @type {Point[]} */ ([[x0 - u, y0 - v], [x1 + u, y1 + v]]);
    this.#line(ends, this.paper, 6);
    this.#line(ends, this.ink, 3);
    const inner = Math.abs(x0) < Math.abs(x1) ? ends[0] : ends[1], { pen, ratio } = this;
    const x = this.X(0), y = Math.min(Math.max(this.Y(Math.max(y0, y1)), 20 * ratio), this.Y(1.5));
    const half = this.say(name, x, y) / 2 + 6 * ratio, [ix, iy] = [this.X(inner[0]), this.Y(inner[1])];
    pen.strokeStyle = this.ink;
    pen.lineWidth = ratio;
    pen.beginPath(); pen.moveTo(x + Math.sign(ix - x) * half, y - 5 * ratio); pen.lineTo(ix, iy); pen.stroke();
  }

  /** Words on the drawing; how wide they are. @param {string} text @param {number} x @param {number} y */
  say(text, x, y, colour = this.ink) {
    const { pen, ratio } = this;
    pen.textAlign = "center";
    pen.lineWidth = 5 * ratio;
    pen.lineJoin = "round";
    const half = pen.measureText(text).width / 2 + 3 * ratio;
    const inside = Math.min(Math.max(x, half), this.canvas.width - half);
    const below = Math.max(y, 16 * ratio);
    pen.strokeStyle = this.paper; pen.strokeText(text, inside, below);
    pen.fillStyle = colour; pen.fillText(text, inside, below);
    return 2 * half;
  }

  /** Where the caliper goes, and what it says there. @param {Jaws} jaws @param {string} [text] */
  jaws(jaws, text = "") {
    const { start, end, hold } = jaws, { pen, ratio } = this;
    const [a, b] = [start, end].map(([x, y]) => /** @type {Point} */ ([this.X(x), this.Y(y)]));
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    const u = /** @type {Point} */ ([(b[0] - a[0]) / long, (b[1] - a[1]) / long]);
    if (hold === "here") {
      pen.strokeStyle = this.mark;
      pen.lineWidth = 3 * ratio;
      pen.beginPath(); pen.arc(a[0], a[1], 9 * ratio, 0, 2 * Math.PI); pen.stroke();
      if (text) this.say(text, a[0], a[1] - 16 * ratio, this.mark);
      return;
    }
    jaws.touches?.forEach((face, k) => this.#line([[start, end][k], face], this.mark, 1, false, [3, 3]));
    this.#line([start, end], this.paper, 5);
    this.#line([start, end], this.mark, 2);
    if (hold === "outside jaws") { this.#jaw(a, [-u[0], -u[1]]); this.#jaw(b, u); }
    if (hold === "inside jaws") { this.#jaw(a, u, long / 2); this.#jaw(b, [-u[0], -u[1]], long / 2); }
    if (hold === "depth rod") { this.#foot(a, u); this.#foot(b, u); }
    if (hold === "radius gauge") this.#dot(a);
    if (text) this.#beside(text, a, b, u, hold);
  }

  /** A small handle that can be pulled. @param {Point} place */
  handle([x, y]) {
    const { pen, ratio } = this;
    pen.fillStyle = this.paper;
    pen.strokeStyle = this.mark;
    pen.lineWidth = 1.5 * ratio;
    pen.beginPath(); pen.arc(this.X(x), this.Y(y), 4.5 * ratio, 0, 2 * Math.PI); pen.fill(); pen.stroke();
  }

  /** A jaw whose flat touches a face and whose back points away from it. */
  #jaw([x, y], [u, v], most = Infinity) {
    const { pen, ratio } = this, long = Math.min(JAW * ratio, most), half = REACH * ratio;
    pen.fillStyle = this.mark;
    pen.strokeStyle = this.paper;
    pen.lineWidth = ratio;
    pen.beginPath();
    pen.moveTo(x - v * half, y + u * half);
    pen.lineTo(x + v * half, y - u * half);
    pen.lineTo(x + u * long + v * half / 3, y + v * long - u * half / 3);
    pen.lineTo(x + u * long - v * half / 3, y + v * long + u * half / 3);
    pen.closePath(); pen.fill(); pen.stroke();
  }

  #foot([x, y], [u, v]) {
    const { pen, ratio } = this, half = FOOT * ratio;
    pen.strokeStyle = this.mark;
    pen.lineWidth = 3 * ratio;
    pen.beginPath(); pen.moveTo(x - v * half, y + u * half); pen.lineTo(x + v * half, y - u * half); pen.stroke();
  }

  #dot([x, y]) {
    this.pen.fillStyle = this.mark;
    this.pen.beginPath(); this.pen.arc(x, y, 3 * this.ratio, 0, 2 * Math.PI); this.pen.fill();
  }

  /** Words beside the jaws: beyond them on a wall, in the middle of a width. */
  #beside(text, a, b, u, hold) {
    const { ratio } = this, across = Math.abs(u[0]) > Math.abs(u[1]);
    const wide = Math.hypot(b[0] - a[0], b[1] - a[1]) > 90 * ratio;
    if (wide) {
      const low = Math.max(a[1], b[1]), high = Math.min(a[1], b[1]);
      if (across) this.say(text, (a[0] + b[0]) / 2, low - 8 * ratio, this.mark);
      else this.say(text, a[0] + this.pen.measureText(text).width / 2 + 12 * ratio, low - (low - high) / 12, this.mark);
      return;
    }
    const top = a[1] < b[1] ? a : b, beyond = hold === "outside jaws" && !across ? JAW + 8 : 14;
    this.say(text, (a[0] + b[0]) / 2, top[1] - beyond * ratio, this.mark);
  }
}
