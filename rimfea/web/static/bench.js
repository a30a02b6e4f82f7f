// "The rim": one rim, its dimensions as sliders and in the drawing. State goes to the program with
// every request; what comes back is drawn. Of several requests only the latest counts.

import { Gone, Overtaken, Refused, ask } from "/ask.js";
import { at, download, made, taken } from "/elements.js";
import { explained, asked as askedAbout, sentence } from "/explain.js";
import { ends, face, nearest, pulled } from "/grab.js";
import { History } from "/history.js";
import { against, outlines, showNumbers } from "/others.js";
import { go } from "/places.js";
import { rideAs, ridden as otherwise } from "/ridden.js";
import { View, roomOf } from "/section.js";
import { meaning, showValue, slider, snapped } from "/sliders.js";
import { quantity, unparted } from "/words.js";

/** @type {[string, string, string, number][]} key, name, unit, and whether more is better */
const NUMBERS = [
  ["yield_N", "first yield", "N", 1],
  ["set_N", "permanent set", "N", 1],
  ["peak_MPa", "stress at the strike", "MPa", -1],
  ["mass_g", "mass", "g", -1],
];
const REACH = 9, FINGER = 22; // pixels from a face within which it is taken hold of
const BURST_MS = 250; // keys come in bursts, a mouse is let go once
const REST_MS = 150; // a hand that only passes by wants nothing

let choices, kept, edit, chosen; // what there is to choose from; own sheets; their form
let sliders = [], byKey = {}, measured = {}, base = {}, now = {}; // dimensions by key, in mm
let history = new History(), pinned = null, shown = null, drafted = null, waiting = true;
let mesh = { id: "", triangles: [] }, number = 0, running = null, traced = null;
let busy = false, next = null, stale = false, hand = "", hover = null, pull = null, view = null, timer, opened = "";
/** @type {Record<string, import("./grab.js").Jaws>} */ let jaws = {};

/** @param {{choices: any, kept: any, edit: (name: string, own: any, text: string) => void,
 * chosen: () => {name: string, asked: object}[]}} given */
export function bench(given) {
  ({ choices, kept, edit, chosen } = given);
  at("setup").replaceChildren(...choices.setups.map((name) => new Option(name, name)));
  at("guessed").replaceChildren(...choices.walls.map((name) => new Option(name, name)));
  for (const head of document.querySelectorAll("#place-rim thead th")) explained(head, choices.words[head.textContent]);
  const pen = at("scale").getContext("2d");
  choices.shades.forEach((colour, k) => { pen.fillStyle = colour; pen.fillRect(5 * k, 0, 5, 10); });
  wire();
  hands(at("section"));
  offered();
}

/** A sheet measured here comes onto the bench. @param {import("./kept.js").Kept} sheet */
export function joined(sheet) {
  offered();
  at("rim").value = "own:" + sheet.id; // opened as soon as the place is entered
}

/** As the place comes into sight, or another tab has changed a sheet. */
export function entered() {
  offered();
  if (at("place-rim").hidden) return;
  const any = opened || rims().some((each) => !each.value.startsWith("lesson:"));
  if (!any) go("measure"); // nothing to try before something was measured
  else if (onBench() !== opened) open().catch(wrong);
  else if (stale) fine();
  else { draw(); if (shown) beside(); }
}

/** The rim that is chosen is on the bench, or soon will be. */
export function ensure() {
  offered();
  if (at("rim").value && onBench() !== opened) open().catch(wrong);
}

/** The rim on the bench, as every request about it names it. */
export const current = () => (sliders.length ? which(now) : null);

/** Every rim that can be chosen, and how a request names it. */
export function rims() {
  return [...at("rim").options].map((each) => ({ value: each.value, name: each.textContent, asked: named(each.value) }));
}

/** It is ridden otherwise than it was. */
export function ridden() {
  tellRidden();
  fine();
}

/** Another rim, with other numbers, ridden otherwise. @param {any} state */
export async function put(state) {
  const { rim, changes = {}, ridden: own = {} } = state, setup = choices.lesson_setup;
  const there = rims().find((each) => each.name === rim);
  at("rim").value = there ? there.value : "lesson:" + rim;
  at("setup").value = setup;
  at("wheel").value = "rear";
  rideAs(setup, own);
  await open(changes);
}

/** The program is there again: whatever was in hand is asked once more. */
export async function back(again) {
  choices = again;
  offered();
  if (sliders.length && onBench() === opened) await fine();
  else { opened = ""; ensure(); }
}

function offered() { // those of the program, those measured in this browser, and those of lessons
  const chosen = at("rim").value, own = kept.all().filter((sheet) => sheet.text);
  const group = (label, options) => {
    const box = made("optgroup", "", { label });
    box.append(...options);
    return box;
  };
  const there = choices.rims.map((name) => new Option(name, name));
  const taught = Object.keys(choices.lesson_rims).map((name) => new Option(name, "lesson:" + name));
  const groups = [["Measured here", own.map((sheet) => new Option(sheet.name, "own:" + sheet.id))],
    ["From files", there], ["Of the lessons", taught]].filter(([, each]) => each.length);
  at("rim").replaceChildren(...(groups.length > 1 ? groups.map(([label, each]) => group(label, each)) : there));
  at("rim").value = chosen;
  if (!at("rim").value && choices.rims.length) at("rim").value = choices.rims[0];
  if (!at("rim").value && at("rim").options.length) at("rim").selectedIndex = 0;
}

// --- asking ---------------------------------------------------------------------------------

function ownSheet() {
  return at("rim").value.startsWith("own:") ? kept.get(at("rim").value.slice(4)) : null;
}

const onBench = () => at("rim").value + (ownSheet()?.text || "");

function which(values) {
  const setup = at("setup").value, rode = otherwise(setup);
  return { ...named(at("rim").value), setup, wheel: at("wheel").value, changes: changed(values),
    ...(Object.keys(rode).length ? { ridden: rode } : {}) };
}

function named(value) { // a rim that is not the program's goes along as its sheet
  const own = value.startsWith("own:") ? kept.get(value.slice(4)) : null;
  if (own) return { rim: own.name, sheet: own.text };
  const taught = value.startsWith("lesson:") ? value.slice(7) : "";
  return taught ? { rim: taught, sheet: choices.lesson_rims[taught] } : { rim: value };
}

function changed(values) {
  return Object.fromEntries(Object.entries(values).filter(([key, v]) => v !== measured[key]));
}

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
      const told = await ask("draft", { ...which(base), key, value, mesh: mesh.id }, { number: own });
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
  dispatchEvent(new Event("rim-changed"));
  stale = at("place-rim").hidden; // it is worked out when somebody looks at it
  if (stale) return;
  const own = ++number;
  next = null;
  running?.abort();
  running = new AbortController();
  traced = null;
  state("working it out");
  try {
    const told = await ask("fine", { ...which(now), mesh: mesh.id }, { number: own, signal: running.signal });
    if (own !== number) return;
    show(told);
    blame([]);
    beside();
    ready(hand || sliders.find((each) => each.word === told.governing)?.key);
  } catch (error) { if (own === number) wrong(error); }
}

async function dent() { // what is asked meanwhile overtakes it
  const own = number;
  if (traced || !shown || shown.error_percent) return;
  at("dented").replaceChildren(made("p", "working out the dent"));
  try {
    const told = await ask("dent", which(now), { number: own });
    if (own !== number) return;
    climb(told.ladder);
    at("dented").replaceChildren(...told.sentences.map((each) => sentence(each)));
  } catch (error) {
    if (own === number) { at("dented").replaceChildren(); wrong(error); }
  }
}

let prepared = "", resting, preparing = false, after = "";
function ready(key) { // what drafts along a dimension need, while the hand rests on its way there
  clearTimeout(resting);
  if (key && !traced && key in byKey) resting = setTimeout(() => prepare(key), REST_MS);
}

async function prepare(key) { // one at a time: the last one that was wanted meanwhile is next
  if (preparing) { after = key; return; }
  const asks = { ...which(base), key }, name = JSON.stringify(asks);
  if (prepared === name) return;
  prepared = name;
  preparing = true;
  await ask("ready", asks).catch(() => { prepared = ""; });
  preparing = false;
  const next = after;
  after = "";
  if (next in byKey) prepare(next);
}

function wrong(error) {
  if (error instanceof Overtaken || error.name === "AbortError") return;
  if (error instanceof Refused) blame(error.faults, error.message);
  else if (!(error instanceof Gone)) throw error;
  state(shown ? "the last rim that can be" : "");
}

function blame(faults, whole = "") {
  for (const { key } of sliders) {
    const own = faults.filter((each) => each.key === key).map((each) => each.told).join(" ");
    at("wrong-dim-" + key).textContent = unparted(own);
    if (own) at("dim-" + key).closest("details").open = true;
  }
  at("problem").textContent = faults.some((each) => each.key in byKey) ? "" : whole;
  at("which-unit").hidden = true;
}

// --- showing --------------------------------------------------------------------------------

function show(told) {
  if (told.triangles) mesh = { id: told.mesh, triangles: told.triangles };
  const rough = told.error_percent;
  const off = !rough && drafted?.state === JSON.stringify(now) ? apart(drafted.told, told) : "";
  shown = told;
  jaws = { ...jaws, ...told.jaws };
  state(rough ? `draft, ± ${rough} %` : "fine mesh" + off);
  if (!rough) drafted = null;
  const asking = guessing();
  document.body.classList.toggle("guessing", asking);
  at("guess").hidden = !asking;
  at("verdict").replaceChildren(...(asking ? [] : [sentence(told.verdict, "span")]));
  numbers(asking);
  climb(told.ladder);
  at("dented").replaceChildren();
  at("dent").disabled = Boolean(rough) || Boolean(traced);
  at("dent").hidden = at("dented").hidden = asking;
  rows("each", told.walls.map((each) => [each.wall, quantity(each.yield_N, "N"), quantity(each.set_N, "N")]));
  if (told.sentences) {
    at("blow").replaceChildren(...told.told.map((each, k) => {
      const line = sentence(each);
      line.classList.toggle("warned", told.warned[k]);
      return line;
    }));
    at("sentences").replaceChildren(...told.sentences.map((each) => sentence(each)));
  }
  at("blow").classList.toggle("old", Boolean(rough));
  at("blow").hidden = at("sentences").hidden = asking;
  for (const { key, word } of sliders)
    at("dim-" + key).classList.toggle("first", !asking && word === told.governing);
  draw();
}

const guessing = () => at("teaching").checked && waiting;

function climb(ladder) {
  rows("ladder", ladder.map((each) => [each.event, each.force, `${Math.round(each.drop_mm)} mm`, each.air]));
  [...at("ladder").tBodies[0].rows].forEach((row, k) => explained(row.cells[0], ladder[k].means));
}

function apart(rough, told) {
  const [a, b] = [rough.numbers.yield_N, told.numbers.yield_N];
  return a && b ? `; the draft was ${Math.abs(100 * (a / b - 1)).toFixed(1)} % off` : "";
}

function state(text) { at("state").textContent = unparted(text); }

function rows(id, lines) {
  const heads = [...at(id).tHead.rows[0].cells].map((cell) => cell.textContent);
  at(id).tBodies[0].replaceChildren(...lines.map((cells) => {
    const row = made("tr");
    row.append(...cells.map((cell, k) => {
      const there = made("td", unparted(cell));
      return k ? askedAbout(there, heads[k], choices.words[heads[k]]) : there;
    }));
    return row;
  }));
}

function numbers(asking) {
  at("numbers").tBodies[0].replaceChildren(...NUMBERS.map(([key, name, unit, better]) => {
    const row = made("tr"), value = shown.numbers[key];
    const wall = key === "set_N" && !asking ? ` (${shown.set_wall})` : "";
    const head = explained(made("th", name + wall, { scope: "row" }), choices.words[name]);
    row.append(head, askedAbout(made("td", quantity(value, unit), { id: "now-" + key }), name, choices.words[name]));
    if (pinned) {
      const was = pinned.told.numbers[key], change = value && was ? 100 * (value / was - 1) : null;
      const flat = change === null || Math.abs(change) < 0.05;
      const kind = flat ? "" : change * better > 0 ? " better" : " worse";
      row.append(made("td", quantity(was, unit), { className: "base" }),
        made("td", change === null ? "-" : `${change > 0 ? "+" : ""}${change.toFixed(1)}\u00a0%`, { className: "base" + kind }));
    }
    return row;
  }));
  showNumbers(shown.numbers);
}

// --- the drawing, and the hand in it --------------------------------------------------------

function draw() {
  const canvas = at("section");
  if (!shown || !canvas.clientWidth) return;
  const all = drawn();
  view = new View(canvas, pull ? pull.room : roomOf(all, traced ? [] : sizes()));
  view.shade(shown.nodes, shown.share, mesh.triangles, choices.shades, !shown.error_percent);
  view.outline(shown.rings);
  if (pinned) view.outline(pinned.told.rings, view.mark, 1.6, [5, 4]);
  for (const rings of outlines()) view.outline(rings, view.ink, 0.9, [1.5, 3]);
  if (!guessing()) view.cut(shown.cut, `${shown.governing}, ${quantity(shown.numbers.yield_N, "N")}`);
  const key = pull?.key || hover?.key || hand;
  if (jaws[key] && !traced) view.jaws(jaws[key], `${byKey[key].word} ${Number(now[key].toFixed(2))}`);
  if (!traced && hover) handles().forEach((each) => view.handle(each.point));
  canvas.setAttribute("aria-label", guessing() ? "Section of the rim" :
    `Section of the rim, a line across the ${shown.governing} where it yields first`);
}

const drawn = () => [shown.rings, ...(pinned ? [pinned.told.rings] : []), ...outlines()].flat();
const overAll = () => sliders.filter((each) => each.group === "widths and heights").map((each) => each.key);
const sizes = () => overAll().map((key) => jaws[key]).filter(Boolean);
const handles = () => ends(jaws, [...overAll(), ...(hand ? [hand] : [])]);

function keysOfEdges() { // a spoke bed that is one wall with the nipple seat is pulled as that
  const keys = choices.walls.map((name) => sliders.find((each) => each.word === name)?.key);
  const seat = keys[choices.walls.indexOf("nipple seat")];
  const bed = choices.walls.indexOf("spoke bed");
  keys[bed] ||= seat;
  return shown.edges.map((ring) => ring.map((k) => keys[k] || null));
}

function gripAt(event, reach) {
  if (!view || !shown || traced) return null;
  const place = view.place(event), far = view.mm(reach);
  const grip = nearest(handles(), place, far) || face(shown.rings, keysOfEdges(), place, far);
  return grip && { grip, place };
}

function hands(canvas) {
  canvas.addEventListener("pointerdown", (event) => {
    const found = gripAt(event, event.pointerType === "touch" ? FINGER : REACH);
    if (!found) return;
    const { key } = found.grip;
    pull = { ...found, key, value: now[key], room: roomOf(drawn(), sizes()) };
    canvas.setPointerCapture(event.pointerId);
    take(key);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (pull) {
      const each = byKey[pull.key], value = pulled(pull.grip, pull.value, pull.place, view.place(event));
      const within = snapped(each, Math.min(each.high, Math.max(each.low, value)));
      if (within !== now[pull.key]) moving(pull.key, within);
      return;
    }
    const found = event.pointerType === "touch" ? null : gripAt(event, REACH);
    if (found?.grip.key !== hover?.key || Boolean(found) !== Boolean(hover)) { hover = found?.grip || null; draw(); }
    const upright = found && Math.abs(found.grip.along[1]) > Math.abs(found.grip.along[0]);
    canvas.className = found ? (upright ? "up" : "across") : "";
    if (found) ready(found.grip.key);
  });
  canvas.addEventListener("pointerleave", () => { clearTimeout(resting); if (hover && !pull) { hover = null; draw(); } });
  for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, () => {
    if (!pull) return;
    pull = null;
    released();
    draw();
  });
  canvas.addEventListener("touchstart", (event) => { // a finger beside every face scrolls the page
    if (gripAt(event.touches[0], FINGER)) event.preventDefault();
  }, { passive: false });
}

function take(key) { // a dimension in hand: its jaws are drawn, and how it is measured is told
  hand = key;
  at("in-hand").replaceChildren(...(byKey[key] ? meaning(byKey[key]) : []));
  ready(key);
  draw();
}

// --- trying ---------------------------------------------------------------------------------

function set(key, value) {
  now[key] = value;
  showValue(byKey[key], value);
}

function moving(key, value) {
  traced = null;
  set(key, value);
  waiting = true;
  draft(key, value);
}

function released() {
  if (sliders.some(({ key }) => now[key] !== base[key])) settle(base);
  else if (shown?.error_percent) fine();
}

function settle(before) { // what is tried now is the new base, to be worked out finely
  history.push({ ...before });
  base = { ...now };
  buttons();
  fine();
}

function step(state) {
  if (!state) return;
  for (const key of Object.keys(state)) set(key, state[key]);
  base = { ...now };
  waiting = true;
  buttons();
  fine();
}

function buttons() {
  at("undo").disabled = !history.past.length;
  at("redo").disabled = !history.future.length;
}

async function open(changes = {}) {
  number += 1;
  now = {}; measured = {}; history = new History(); drafted = null; waiting = true; traced = null;
  hand = ""; hover = null; jaws = {}; opened = onBench();
  at("in-hand").textContent = "Pull a face of a wall, or the end of a width, to try another size.";
  const told = await ask("open", which({}));
  bare(told.drawing);
  sliders = told.sliders;
  byKey = Object.fromEntries(sliders.map((each) => [each.key, each]));
  measured = { ...told.values };
  now = { ...measured, ...changes };
  base = { ...now };
  const groups = [...new Set(sliders.map((each) => each.group))];
  at("sliders").replaceChildren(...groups.map((name, k) => {
    const box = made("details", "", { open: k === 0, className: "fold" });
    const own = sliders.filter((each) => each.group === name);
    box.append(made("summary", `${name[0].toUpperCase()}${name.slice(1)}, mm`), ...own.map((each) => slider(each, choices.wall_colours[each.word])));
    return box;
  }));
  for (const key of Object.keys(changes)) showValue(byKey[key], now[key]);
  buttons();
  tellRidden();
  await fine();
}

function bare({ rings }) { // the drawing, until it is known what its metal bears
  shown = null;
  for (const id of ["verdict", "blow", "sentences", "dented"]) at(id).replaceChildren();
  for (const id of ["numbers", "ladder", "each"]) at(id).tBodies[0].replaceChildren();
  if (!at("section").clientWidth) return;
  view = new View(at("section"), roomOf(rings, []));
  view.fill(rings);
  view.outline(rings);
}

function beside() { // those that were chosen side by side, on the same wheel
  const { setup, wheel, ridden: rode } = which({}), shared = { setup, wheel, ...(rode ? { ridden: rode } : {}) };
  against(chosen(), shared, () => { if (shown) { numbers(guessing()); draw(); } });
}

function tellRidden() { // what differs from the set-up
  const fields = choices.ridden.groups.flatMap((each) => each.fields);
  const own = Object.entries(otherwise(at("setup").value)).map(([key, value]) => {
    const { word, unit } = fields.find((each) => each.key === key);
    return `${word} ${value}${unit && "\u00a0"}${unit}`;
  });
  at("ridden-told").textContent = own.length ? `with ${own.join(", ")}` : "";
}

function pin() {
  if (!shown && !pinned) return;
  pinned = pinned ? null : { told: shown };
  at("pin").setAttribute("aria-pressed", String(Boolean(pinned)));
  at("pin").textContent = pinned ? "Take the pin out" : "Pin for comparison";
  document.body.classList.toggle("pinned", Boolean(pinned));
  if (shown) numbers(guessing());
  draw();
}

async function fetched(what) {
  try {
    const { name, text } = await ask(what, which(now));
    download(name, text);
  } catch (error) { wrong(error); }
}

async function toForm() { // its own record if nothing was tried, else what was tried as a new sheet
  const own = ownSheet();
  if (own && !Object.keys(changed(now)).length && !traced) { edit("", own, ""); return; }
  try {
    const { name, text } = traced?.sheet ? { name: "traced.toml", text: traced.sheet } : await ask("sheet", which(now));
    edit(name, null, text);
  } catch (error) { wrong(error); }
}

async function trace(file, unit) {
  if (!file) return;
  number += 1;
  next = null;
  running?.abort();
  state("working out the traced section");
  try {
    const extra = unit ? { unit } : {};
    const told = await ask("traced", { ...which(now), name: file.name, text: await file.text(), ...extra });
    traced = told;
    drafted = null;
    show(told);
    blame([]);
    state(`${told.traced} The sliders bring the rim back.`);
  } catch (error) {
    wrong(error);
    if (error.wanted !== "unit") return;
    at("which-unit").hidden = false;
    at("which-unit").replaceChildren("It was drawn in ", ...["mm", "inch"].map((each) => {
      const button = made("button", each, { type: "button" });
      button.addEventListener("click", () => trace(file, each));
      return button;
    }));
  }
}

function wire() {
  for (const id of ["rim", "setup", "wheel"]) at(id).addEventListener("change", () => open().catch(wrong));
  at("undo").addEventListener("click", () => step(history.back({ ...now })));
  at("redo").addEventListener("click", () => step(history.again({ ...now })));
  at("measured").addEventListener("click", () => {
    if (!Object.keys(changed(now)).length && !traced) return;
    for (const { key } of sliders) set(key, measured[key]);
    waiting = true;
    settle(base);
  });
  at("pin").addEventListener("click", pin);
  at("dent").addEventListener("click", dent);
  at("to-form").addEventListener("click", toForm);
  for (const [id, what] of [["save", "sheet"], ["report", "report"], ["answers", "answers"]])
    at(id).addEventListener("click", () => fetched(what));
  at("trace").addEventListener("change", () => trace(taken(at("trace"))));
  at("teaching").addEventListener("change", () => { waiting = at("teaching").checked; if (shown) show(shown); });
  at("guess").addEventListener("submit", (event) => {
    event.preventDefault();
    if (!shown) return;
    waiting = false;
    show(shown);
    const right = at("guessed").value === shown.governing;
    at("verdict").prepend(right ? "Well guessed. " : `You said the ${at("guessed").value}. `);
  });
  at("sliders").addEventListener("input", ({ target }) => {
    if (target.type === "range") moving(target.dataset.key, snapped(byKey[target.dataset.key], Number(target.value)));
  });
  at("sliders").addEventListener("change", ({ target }) => {
    const { key } = target.dataset;
    if (target.type === "range") {
      target.value = now[key];
      clearTimeout(timer);
      timer = setTimeout(released, target.matches(":active") ? 0 : BURST_MS);
    } else if (target.value === "" || !Number.isFinite(Number(target.value))) target.value = now[key];
    else { moving(key, Number(target.value)); released(); }
  });
  at("sliders").addEventListener("focusin", ({ target }) => { if (target.dataset.key) take(target.dataset.key); });
  at("sliders").addEventListener("pointerover", ({ target }) => ready(target.dataset.key));
  addEventListener("keydown", (/** @type {any} */ event) => {
    if (!(event.ctrlKey || event.metaKey) || at("place-rim").hidden || ["number", "text"].includes(event.target.type)) return;
    const key = event.key.toLowerCase(), undo = key === "z" && !event.shiftKey;
    if (!undo && key !== "y" && key !== "z") return;
    event.preventDefault();
    step(undo ? history.back({ ...now }) : history.again({ ...now }));
  });
  addEventListener("resize", draw);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
}
