// The page: one rim, its walls as sliders. State goes to the server with every request; what comes
// back is drawn. Of several requests only the latest counts.
"use strict";

const at = (id) => document.getElementById(id);
const STEP = 0.05;
const client = Math.random().toString(36).slice(2);
const NUMBERS = [
  ["yield_N", "first yield", "N", 1],
  ["set_N", "permanent set", "N", 1],
  ["peak_MPa", "stress at the strike", "MPa", -1],
  ["mass_g", "mass", "g", -1],
];

let choices, sliders = [], measured = {}, base = {}, now = {}; // thicknesses by key, in mm
let past = [], future = [], pinned = null, shown = null, drafted = null, waiting = true;
let mesh = { id: "", triangles: [] }, number = 0, running = null, traced = false;
let busy = false, next = null;

class Overtaken extends Error {}

async function ask(what, extra = {}, abort) {
  const body = { rim: at("rim").value, setup: at("setup").value, wheel: at("wheel").value,
    changes: changed(extra.from || now), ...extra };
  delete body.from;
  const answer = await fetch("/" + what, { method: "POST", body: JSON.stringify(body), signal: abort,
    headers: { "content-type": "application/json", client, number: String(number) } });
  const data = await answer.json();
  if (answer.status === 409) throw new Overtaken();
  if (!answer.ok) throw Object.assign(new Error(data.problem), { faults: data.faults || [] });
  return data;
}

function changed(values) {
  return Object.fromEntries(Object.entries(values).filter(([key, v]) => v !== measured[key]));
}

// --- asking ---------------------------------------------------------------------------------

function draft(key, value) { // one at a time: what was dragged meanwhile is asked next
  next = { key, value };
  if (!busy) pump();
}

async function pump() {
  busy = true;
  while (next) {
    const { key, value } = next, own = ++number;
    next = null;
    try {
      const told = await ask("draft", { from: base, key, value, mesh: mesh.id });
      if (own === number) {
        drafted = { told, state: JSON.stringify({ ...base, [key]: value }) };
        show(told);
        blame([]);
      }
    } catch (error) { if (own === number) wrong(error); }
  }
  busy = false;
}

async function fine() {
  const own = ++number;
  next = null;
  running?.abort();
  running = new AbortController();
  traced = false;
  tell("working it out");
  try {
    const told = await ask("fine", { mesh: mesh.id }, running.signal);
    if (own !== number) return;
    show(told);
    blame([]);
    ready(document.activeElement?.dataset?.key);
  } catch (error) { if (own === number) wrong(error); }
}

async function dent() { // what is asked meanwhile overtakes it
  const own = number;
  if (traced || !shown || shown.error_percent) return;
  at("dented").replaceChildren(made_of("p", "working out the dent"));
  try {
    const told = await ask("dent");
    if (own !== number) return;
    climb(told.ladder);
    at("dented").replaceChildren(...told.sentences.map((s) => made_of("p", s)));
  } catch (error) {
    if (own === number) { at("dented").replaceChildren(); wrong(error); }
  }
}

const made = new Set();
function ready(key) { // what drafts along a slider need, while the hand is still on its way
  if (!key || traced) return;
  const name = key + JSON.stringify([changed(base), at("rim").value, at("setup").value, at("wheel").value]);
  if (made.has(name)) return;
  made.add(name);
  ask("ready", { from: base, key }).catch(() => made.delete(name));
}

function wrong(error) {
  if (error instanceof Overtaken || error.name === "AbortError") return;
  if (error.faults) blame(error.faults, error.message);
  else at("problem").textContent = "The program does not answer: is it still running?";
  tell(shown ? "the last rim that can be" : "");
}

function blame(faults, whole = "") {
  const keys = sliders.map((each) => each.key);
  for (const key of keys)
    at("wrong-" + key).textContent = faults.filter((f) => f.key === key).map((f) => f.told).join(" ");
  at("problem").textContent = faults.some((f) => keys.includes(f.key)) ? "" : whole;
}

// --- showing --------------------------------------------------------------------------------

function show(told) {
  if (told.triangles) mesh = { id: told.mesh, triangles: told.triangles };
  const rough = told.error_percent;
  const off = !rough && drafted?.state === JSON.stringify(now) ? apart(drafted.told, told) : "";
  shown = told;
  tell(rough ? `draft, ± ${rough} %` : "fine mesh" + off);
  if (!rough) drafted = null;
  const asking = at("teaching").checked && waiting;
  document.body.classList.toggle("guessing", asking);
  at("guess").hidden = !asking;
  if (!asking) at("verdict").textContent = told.verdict;
  else at("verdict").textContent = "";
  numbers(asking);
  climb(told.ladder);
  at("dented").replaceChildren();
  at("dent").disabled = Boolean(rough) || traced;
  at("dent").hidden = at("dented").hidden = asking;
  rows("each", told.walls.map((w) => [w.wall, force(w.yield_N), force(w.set_N)]));
  if (told.sentences) at("sentences").replaceChildren(...told.sentences.map((s) => made_of("p", s)));
  at("sentences").hidden = asking;
  for (const each of sliders)
    at("wall-" + each.key).classList.toggle("first", !asking && each.wall === told.governing);
  draw();
}

function climb(ladder) {
  rows("ladder", ladder.map((r) => [r.event, r.force, `${Math.round(r.drop_mm)} mm`, r.air]));
  [...at("ladder").tBodies[0].rows].forEach((row, k) => explained(row.cells[0], ladder[k].means));
}

function apart(rough, told) {
  const [a, b] = [rough.numbers.yield_N, told.numbers.yield_N];
  return a && b ? `; the draft was ${Math.abs(100 * (a / b - 1)).toFixed(1)} % off` : "";
}

function tell(text) { at("state").textContent = text; }
function force(value) { return value === null ? "-" : `${figures(value)} N`; }

function figures(value) { // three, never in powers of ten
  if (value === null) return "-";
  const digits = 2 - Math.floor(Math.log10(Math.abs(Number(value.toPrecision(3))) || 1));
  const unit = 10 ** digits;
  return (Math.round(value * unit) / unit).toFixed(Math.max(0, digits));
}

function made_of(tag, text, kind = "") {
  const made = document.createElement(tag);
  made.textContent = text;
  if (kind) made.className = kind;
  return made;
}

function explained(cell, meaning) { // what a word means, under the pointer and to a screen reader
  if (!meaning) return;
  cell.title = meaning;
  cell.classList.add("word");
}

function rows(id, lines) {
  at(id).tBodies[0].replaceChildren(...lines.map((cells) => {
    const row = document.createElement("tr");
    row.append(...cells.map((cell) => made_of("td", cell)));
    return row;
  }));
}

function numbers(asking) {
  const body = at("numbers").tBodies[0];
  body.replaceChildren(...NUMBERS.map(([key, name, unit, better]) => {
    const row = document.createElement("tr"), value = shown.numbers[key];
    const wall = key === "set_N" && !asking ? ` (${shown.set_wall})` : "";
    const head = made_of("th", name + wall);
    head.scope = "row";
    explained(head, choices.words[name]);
    row.append(head, Object.assign(made_of("td", `${figures(value)} ${unit}`), { id: "now-" + key }));
    if (pinned) {
      const was = pinned.told.numbers[key], change = value && was ? 100 * (value / was - 1) : null;
      const flat = change === null || Math.abs(change) < 0.05;
      const kind = flat ? "" : change * better > 0 ? " better" : " worse";
      row.append(made_of("td", `${figures(was)} ${unit}`, "base"),
        made_of("td", change === null ? "-" : `${change > 0 ? "+" : ""}${change.toFixed(1)} %`, "base" + kind));
    }
    return row;
  }));
}

// --- the picture ----------------------------------------------------------------------------

function draw() {
  const canvas = at("section"), told = shown;
  if (!told) return;
  const ratio = window.devicePixelRatio || 1;
  const wide = canvas.clientWidth, high = canvas.clientHeight;
  canvas.width = wide * ratio;
  canvas.height = high * ratio;
  const pen = canvas.getContext("2d"), all = told.rings.concat(pinned ? pinned.told.rings : []);
  const x = all.flatMap((ring) => ring.map((p) => p[0])), y = all.flatMap((ring) => ring.map((p) => p[1]));
  const [left, right, low, top] = [Math.min(...x), Math.max(...x), Math.min(...y), Math.max(...y)];
  const size = Math.min(wide / (right - left + 3), high / (top - low + 3)) * ratio;
  const X = (v) => canvas.width / 2 + size * (v - (left + right) / 2);
  const Y = (v) => canvas.height / 2 - size * (v - (low + top) / 2);
  const style = getComputedStyle(document.body);
  const ink = style.getPropertyValue("--ink"), mark = style.getPropertyValue("--mark");
  shade(pen, told, X, Y);
  pen.lineJoin = "round";
  outline(pen, told.rings, X, Y, ink, 1.2 * ratio, []);
  if (pinned) outline(pen, pinned.told.rings, X, Y, mark, 1.6 * ratio, [5 * ratio, 4 * ratio]);
  const asking = document.body.classList.contains("guessing");
  if (!asking) cut(pen, told, X, Y, ratio, ink, style.getPropertyValue("--sheet"));
  canvas.setAttribute("aria-label", asking ? "Section of the rim" :
    `Section of the rim, a line across the ${told.governing} where it yields first`);
}

function shade(pen, told, X, Y) { // one path a shade: a six-node triangle is four plain ones
  const { nodes, share } = told, t = mesh.triangles, shades = choices.shades;
  const paths = shades.map(() => new Path2D());
  const px = [], py = [];
  for (let k = 0; k < nodes.length; k += 2) { px.push(X(nodes[k])); py.push(Y(nodes[k + 1])); }
  const one = (a, b, c) => {
    const mean = (share[a] + share[b] + share[c]) / 3000;
    const path = paths[Math.min(shades.length - 1, Math.floor(mean * shades.length))];
    path.moveTo(px[a], py[a]); path.lineTo(px[b], py[b]); path.lineTo(px[c], py[c]); path.closePath();
  };
  for (let k = 0; k < t.length; k += 6) {
    const [a, b, c, ab, bc, ca] = t.slice(k, k + 6);
    one(a, ab, ca); one(ab, b, bc); one(ca, bc, c); one(ab, bc, ca);
  }
  pen.lineWidth = 0.8;
  paths.forEach((path, k) => {
    pen.fillStyle = pen.strokeStyle = shades[k];
    pen.fill(path);
    pen.stroke(path); // closes the hairlines between triangles
  });
}

function outline(pen, rings, X, Y, colour, width, dash) {
  pen.strokeStyle = colour;
  pen.lineWidth = width;
  pen.setLineDash(dash);
  for (const ring of rings) {
    pen.beginPath();
    ring.forEach(([x, y], k) => (k ? pen.lineTo(X(x), Y(y)) : pen.moveTo(X(x), Y(y))));
    pen.closePath();
    pen.stroke();
  }
  pen.setLineDash([]);
}

function cut(pen, told, X, Y, ratio, ink, paper) { // a little longer than the wall is thick, named
  const [[x0, y0], [x1, y1]] = told.cut, long = Math.hypot(x1 - x0, y1 - y0);
  const [u, v] = [0.9 * (x1 - x0) / long, 0.9 * (y1 - y0) / long];
  const line = [X(x0 - u), Y(y0 - v), X(x1 + u), Y(y1 + v)];
  for (const [colour, width] of [[paper, 6], [ink, 3]]) {
    pen.strokeStyle = colour;
    pen.lineWidth = width * ratio;
    pen.beginPath(); pen.moveTo(line[0], line[1]); pen.lineTo(line[2], line[3]); pen.stroke();
  }
  const inner = Math.abs(x0) < Math.abs(x1) ? [line[0], line[1]] : [line[2], line[3]];
  pen.font = `${15 * ratio}px Georgia, serif`;
  pen.textAlign = "center";
  pen.lineWidth = 4 * ratio;
  const [tx, ty] = [X(0), Math.min(Math.max(Y(Math.max(y0, y1)), 20 * ratio), Y(1.5))];
  pen.strokeStyle = paper; pen.strokeText(told.governing, tx, ty);
  pen.fillStyle = ink; pen.fillText(told.governing, tx, ty);
  const half = pen.measureText(told.governing).width / 2 + 6 * ratio;
  pen.strokeStyle = ink; pen.lineWidth = ratio;
  pen.beginPath(); pen.moveTo(tx + Math.sign(inner[0] - tx) * half, ty - 5 * ratio); pen.lineTo(inner[0], inner[1]); pen.stroke();
}

// --- the hand -------------------------------------------------------------------------------

function set(key, value) {
  now[key] = value;
  for (const kind of ["range", "number"]) {
    const box = at(kind + "-" + key);
    if (kind === "range") { // beyond its ends only for a number typed in
      box.min = Math.min(box.min, value);
      box.max = Math.max(box.max, value);
    }
    if (Number(box.value) !== value) box.value = value;
  }
  const change = value - measured[key];
  at("change-" + key).textContent = Math.abs(change) < 1e-9 ? "" : `${change > 0 ? "+" : "−"}${Math.abs(change).toFixed(2)}`;
}

function snapped(key, value) { // the steps of a slider count from what was measured
  const steps = Math.round((value - measured[key]) / STEP);
  return Number((measured[key] + steps * STEP).toFixed(6));
}

function moving(key, value) {
  traced = false;
  set(key, value);
  waiting = true;
  draft(key, value);
}

function released() {
  if (sliders.some(({ key }) => now[key] !== base[key])) settle(base);
  else if (shown?.error_percent) fine();
}

function settle(before) { // what is tried now is the new base, to be worked out finely
  past.push({ ...before });
  if (past.length > 200) past.shift();
  future = [];
  base = { ...now };
  buttons();
  fine();
}

function step(from, to) {
  if (!from.length) return;
  to.push({ ...now });
  const state = from.pop();
  for (const key of Object.keys(state)) set(key, state[key]);
  base = { ...now };
  waiting = true;
  buttons();
  fine();
}

function buttons() {
  at("undo").disabled = !past.length;
  at("redo").disabled = !future.length;
}

function wall(each) {
  const box = document.createElement("div"), label = made_of("label", "");
  box.className = "wall";
  box.id = "wall-" + each.key;
  const spot = made_of("span", "", "spot");
  spot.style.background = choices.wall_colours[each.wall];
  label.htmlFor = "range-" + each.key;
  label.append(spot, each.wall, Object.assign(made_of("span", "", "change"), { id: "change-" + each.key }));
  label.title = each.meaning;
  const range = input("range", each), typed = input("number", each);
  typed.setAttribute("aria-label", `${each.wall}, mm`);
  range.setAttribute("aria-describedby", "wrong-" + each.key);
  const told = Object.assign(made_of("p", "", "wrong"), { id: "wrong-" + each.key });
  box.append(label, typed, range, told);
  let timer;
  range.addEventListener("input", () => moving(each.key, snapped(each.key, Number(range.value))));
  range.addEventListener("change", () => {
    range.value = now[each.key];
    clearTimeout(timer); // keys come in bursts, a mouse is let go once
    timer = setTimeout(released, range.matches(":active") ? 0 : 250);
  });
  typed.addEventListener("change", () => {
    if (typed.value === "" || !Number.isFinite(Number(typed.value))) { typed.value = now[each.key]; return; }
    moving(each.key, Number(typed.value));
    released();
  });
  for (const event of ["focus", "pointerenter"]) range.addEventListener(event, () => ready(each.key));
  return box;
}

function input(kind, each) {
  const made = document.createElement("input");
  Object.assign(made, { type: kind, id: `${kind}-${each.key}` });
  made.dataset.key = each.key;
  if (kind === "range") { // a fine grid under the hand, snapped to steps from what was measured
    Object.assign(made, { min: snapped(each.key, each.low), max: snapped(each.key, each.high), step: STEP });
  } else Object.assign(made, { step: "any", min: 0, inputMode: "decimal" });
  made.value = each.value;
  return made;
}

async function open() {
  number += 1;
  now = {}; measured = {}; past = []; future = []; drafted = null; waiting = true;
  const told = await ask("open");
  sliders = told.sliders;
  measured = { ...told.values };
  now = { ...measured };
  base = { ...measured };
  at("sliders").replaceChildren(...sliders.map(wall));
  buttons();
  await fine();
}

function pin() {
  pinned = pinned ? null : { told: shown };
  at("pin").setAttribute("aria-pressed", String(Boolean(pinned)));
  at("pin").textContent = pinned ? "Take the pin out" : "Pin for comparison";
  document.body.classList.toggle("pinned", Boolean(pinned));
  numbers(document.body.classList.contains("guessing"));
  draw();
}

async function download(what) {
  try {
    const { name, text } = await ask(what), link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "text/plain" }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  } catch (error) { wrong(error); }
}

async function trace(file) {
  number += 1;
  next = null;
  running?.abort();
  tell("working out the traced section");
  try {
    const told = await ask("traced", { name: file.name, text: await file.text() });
    traced = true;
    drafted = null;
    show(told);
    blame([]);
    tell(`${told.traced} The sliders bring the rim back.`);
  } catch (error) { wrong(error); }
}

function fill(id, names) { at(id).replaceChildren(...names.map((name) => new Option(name, name))); }

async function start() {
  choices = await (await fetch("/choices")).json();
  for (const id of ["rim", "setup"]) fill(id, choices[id + "s"]);
  fill("guessed", choices.walls);
  at("caution").textContent = choices.caution;
  for (const head of document.querySelectorAll("thead th")) explained(head, choices.words[head.textContent]);
  const pen = at("scale").getContext("2d");
  choices.shades.forEach((colour, k) => { pen.fillStyle = colour; pen.fillRect(5 * k, 0, 5, 10); });
  for (const id of ["rim", "setup", "wheel"]) at(id).addEventListener("change", () => open().catch(wrong));
  at("undo").addEventListener("click", () => step(past, future));
  at("redo").addEventListener("click", () => step(future, past));
  at("measured").addEventListener("click", () => {
    if (!Object.keys(changed(now)).length && !traced) return;
    for (const { key } of sliders) set(key, measured[key]);
    waiting = true;
    settle(base);
  });
  at("pin").addEventListener("click", pin);
  at("dent").addEventListener("click", dent);
  for (const [id, what] of [["save", "sheet"], ["report", "report"], ["answers", "answers"]])
    at(id).addEventListener("click", () => download(what));
  at("trace").addEventListener("change", (event) => {
    const [file] = event.target.files;
    event.target.value = "";
    if (file) trace(file);
  });
  at("teaching").addEventListener("change", () => { waiting = at("teaching").checked; if (shown) show(shown); });
  at("guess").addEventListener("submit", (event) => {
    event.preventDefault();
    waiting = false;
    show(shown);
    const right = at("guessed").value === shown.governing;
    at("verdict").textContent = `${right ? "Well guessed." : `You said the ${at("guessed").value}.`} ${shown.verdict}`;
  });
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.target.type === "number") return;
    const key = event.key.toLowerCase(), back = key === "z" && !event.shiftKey;
    if (!back && key !== "y" && key !== "z") return;
    event.preventDefault();
    if (back) step(past, future); else step(future, past);
  });
  window.addEventListener("resize", draw);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
  await open();
}

start().catch(wrong);
