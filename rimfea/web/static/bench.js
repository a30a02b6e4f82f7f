// "What gives first": one rim, its dimensions as sliders and in the drawing. State goes to the
// program with every request; what comes back is shown. Of several requests only the latest counts.

import { Gone, Overtaken, Refused, ask } from "/ask.js";
import { Drafts } from "/drafts.js";
import { Drawn } from "/drawn.js";
import { at, download, made, taken } from "/elements.js";
import { sentence } from "/explain.js";
import { History } from "/history.js";
import { against } from "/others.js";
import { go } from "/places.js";
import { rideAs, ridden as otherwise } from "/ridden.js";
import * as rims from "/rims.js";
import { meaning, showValue, slider, snapped } from "/sliders.js";
import { blame, clear, climb, numbers, state, tell, told as tells } from "/told.js";

const BURST_MS = 250; // keys come in bursts, a mouse is let go once

let choices, edit, chosen; // what there is to choose from; the form of a sheet; who is side by side
let sliders = [], byKey = {};
let measured = {}, base = {}; // dimensions by key, in mm
/** @type {Record<string, number>} */ let now = {};
let history = new History(), pinned = null, shown = null, drafted = null, traced = null, waiting = true;
let mesh = { id: "", triangles: [] }, number = 0, running = null, stale = false, hand = "", timer, opened = "";
/** @type {Record<string, import("./grab.js").Jaws>} */ let jaws = {};
/** @type {Drawn} */ let drawing;

const drafts = new Drafts(draft, (key) => (key in byKey && !traced ? { ...which(base), key } : null));

/** @param {{choices: any, kept: any, edit: (name: string, own: any, text: string) => void,
 * chosen: () => {name: string, asked: object}[]}} given */
export function bench(given) {
  ({ choices, edit, chosen } = given);
  at("setup").replaceChildren(...choices.setups.map((name) => new Option(name, name)));
  at("guessed").replaceChildren(...choices.walls.map((name) => new Option(name, name)));
  tells(choices);
  drawing = new Drawn(choices, () => ({ shown, pinned, triangles: mesh.triangles, sliders, now, jaws, hand,
    fixed: Boolean(traced), guessing: guessing() }), { near: (key) => drafts.near(key), gone: () => drafts.pass(), take, moving, released });
  wire();
  rims.rims(given);
  rims.offer();
}

/** A sheet measured here comes onto the bench. @param {import("./kept.js").Kept} sheet */
export function joined(sheet) {
  rims.offer();
  rims.chooseOwn(sheet.id); // opened as soon as the place is entered
}

/** As the place comes into sight, or another tab has changed a sheet. */
export function entered() {
  rims.offer();
  if (at("place-rim").hidden) return;
  if (!opened && !rims.any()) go("measure"); // nothing to try before something was measured
  else if (rims.chosen() !== opened) open().catch(wrong);
  else if (stale) fine();
  else { drawing.draw(); if (shown) beside(); }
}

/** The rim that is chosen is on the bench, or soon will be. */
export function ensure() {
  rims.offer();
  if (at("rim").value && rims.chosen() !== opened) open().catch(wrong);
}

/** The rim on the bench, as every request about it names it. */
export const current = () => (sliders.length ? which(now) : null);

/** It is ridden otherwise than it was. */
export function ridden() {
  tellRidden();
  fine();
}

/** Another rim, with other numbers, ridden otherwise. @param {any} wanted */
export async function put(wanted) {
  const { rim, changes = {}, ridden: own = {} } = wanted, setup = choices.lesson_setup;
  rims.chooseNamed(rim);
  at("setup").value = setup;
  at("wheel").value = "rear";
  rideAs(setup, own);
  await open(changes);
}

/** The program is there again: whatever was in hand is asked once more. */
export async function back(again) {
  choices = again;
  rims.offer();
  if (sliders.length && rims.chosen() === opened) await fine();
  else { opened = ""; ensure(); }
}

// --- asking ---------------------------------------------------------------------------------

function which(values) {
  const setup = at("setup").value, rode = otherwise(setup);
  return { ...rims.asked(), setup, wheel: at("wheel").value, changes: changed(values),
    ...(Object.keys(rode).length ? { ridden: rode } : {}) };
}

function changed(values) {
  return Object.fromEntries(Object.entries(values).filter(([key, v]) => v !== measured[key]));
}

async function draft(key, value) {
  const own = ++number;
  try {
    const told = await ask("draft", { ...which(base), key, value, mesh: mesh.id }, { number: own });
    if (own !== number) return;
    drafted = { told, state: JSON.stringify({ ...base, [key]: value }) };
    show(told);
  } catch (error) { if (own === number) wrong(error); }
}

async function fine() {
  dispatchEvent(new Event("rim-changed"));
  stale = at("place-rim").hidden; // it is worked out when somebody looks at it
  if (stale) return;
  const own = ++number;
  drafts.drop();
  running?.abort();
  running = new AbortController();
  traced = null;
  state("working it out");
  try {
    const told = await ask("fine", { ...which(now), mesh: mesh.id }, { number: own, signal: running.signal });
    if (own !== number) return;
    show(told);
    beside();
    drafts.near(hand || sliders.find((each) => each.word === told.governing)?.key);
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

async function fetched(what) {
  try {
    const { name, text } = await ask(what, which(now));
    download(name, text);
  } catch (error) { wrong(error); }
}

async function toForm() { // its own record if nothing was tried, else what was tried as a new sheet
  const own = rims.ownSheet();
  if (own && !Object.keys(changed(now)).length && !traced) { edit("", own, ""); return; }
  try {
    const { name, text } = traced?.sheet ? { name: "traced.toml", text: traced.sheet } : await ask("sheet", which(now));
    edit(name, null, text);
  } catch (error) { wrong(error); }
}

async function trace(file, unit) {
  if (!file) return;
  number += 1;
  drafts.drop();
  running?.abort();
  state("working out the traced section");
  try {
    const extra = unit ? { unit } : {};
    const told = await ask("traced", { ...which(now), name: file.name, text: await file.text(), ...extra });
    traced = told;
    drafted = null;
    show(told);
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

function wrong(error) {
  if (error instanceof Overtaken || error.name === "AbortError") return;
  if (error instanceof Refused) blame(Object.keys(byKey), error.faults, error.message);
  else if (!(error instanceof Gone)) throw error;
  state(shown ? "the last rim that can be" : "");
}

// --- showing --------------------------------------------------------------------------------

function show(told) {
  if (told.triangles) mesh = { id: told.mesh, triangles: told.triangles };
  const rough = told.error_percent;
  shown = told;
  jaws = { ...jaws, ...told.jaws };
  if (rough) state(`, ± ${rough} %`, "draft");
  else {
    state(apart(told), "fine mesh");
    drafted = null;
  }
  tell(told, pinned, guessing());
  at("dent").disabled = Boolean(rough) || Boolean(traced);
  for (const { key, word } of sliders)
    at("dim-" + key).classList.toggle("first", !guessing() && word === told.governing);
  drawing.draw();
  blame(Object.keys(byKey), []);
}

function apart(told) { // how good the last draft of it was
  if (!drafted || drafted.state !== JSON.stringify(now)) return "";
  const [a, b] = [drafted.told.numbers.yield_N, told.numbers.yield_N];
  return a && b ? `; the draft was ${Math.abs(100 * (a / b - 1)).toFixed(1)} % off` : "";
}

const guessing = () => at("teaching").checked && waiting;

function beside() { // those that were chosen side by side, on the same wheel
  const { setup, wheel, ridden: rode } = which({}), shared = { setup, wheel, ...(rode ? { ridden: rode } : {}) };
  against(chosen(), shared, () => { if (shown) { numbers(shown, pinned, guessing()); drawing.draw(); } });
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
  pinned = pinned ? null : shown;
  at("pin").setAttribute("aria-pressed", String(Boolean(pinned)));
  at("pin").textContent = pinned ? "Take the pin out" : "Pin for comparison";
  document.body.classList.toggle("pinned", Boolean(pinned));
  if (shown) numbers(shown, pinned, guessing());
  drawing.draw();
}

// --- trying ---------------------------------------------------------------------------------

async function open(changes = {}) {
  number += 1;
  now = {}; measured = {}; history = new History(); drafted = null; waiting = true; traced = null;
  hand = ""; jaws = {}; opened = rims.chosen();
  at("in-hand").textContent = "Pull a face of a wall, or the end of a width, to try another size.";
  const told = await ask("open", which({}));
  shown = null;
  clear();
  drawing.bare(told.drawing.rings);
  sliders = told.sliders;
  byKey = Object.fromEntries(sliders.map((each) => [each.key, each]));
  measured = { ...told.values };
  now = { ...measured, ...changes };
  base = { ...now };
  offerSliders();
  for (const key of Object.keys(changes)) showValue(byKey[key], now[key]);
  buttons();
  tellRidden();
  await fine();
}

function offerSliders() {
  const groups = [...new Set(sliders.map((each) => each.group))];
  at("sliders").replaceChildren(...groups.map((name, k) => {
    const box = made("details", "", { open: k === 0, className: "fold" });
    const own = sliders.filter((each) => each.group === name);
    box.append(made("summary", `${name[0].toUpperCase()}${name.slice(1)}, mm`), ...own.map((each) => slider(each, choices.wall_colours[each.word])));
    return box;
  }));
}

function take(key) { // a dimension in hand: its jaws are drawn, and how it is measured is told
  hand = key;
  at("in-hand").replaceChildren(...(byKey[key] ? meaning(byKey[key]) : []));
  drafts.near(key);
  drawing.draw();
}

function set(key, value) {
  now[key] = value;
  showValue(byKey[key], value);
}

function moving(key, value) {
  traced = null;
  set(key, value);
  waiting = true;
  drafts.want(key, value);
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

function step(wanted) {
  if (!wanted) return;
  for (const key of Object.keys(wanted)) set(key, wanted[key]);
  base = { ...now };
  waiting = true;
  buttons();
  fine();
}

function buttons() {
  at("undo").disabled = !history.past.length;
  at("redo").disabled = !history.future.length;
}

function asMeasured() {
  if (!Object.keys(changed(now)).length && !traced) return;
  for (const { key } of sliders) set(key, measured[key]);
  waiting = true;
  settle(base);
}

// --- what each control does -----------------------------------------------------------------

function wire() {
  for (const id of ["rim", "setup", "wheel"]) at(id).addEventListener("change", () => open().catch(wrong));
  for (const [id, does] of Object.entries({ undo: () => step(history.back({ ...now })), redo: () => step(history.again({ ...now })),
    measured: asMeasured, pin, dent, "to-form": toForm, save: () => fetched("sheet"), report: () => fetched("report"),
    answers: () => fetched("answers") })) at(id).addEventListener("click", does);
  at("trace").addEventListener("change", () => trace(taken(at("trace"))));
  at("teaching").addEventListener("change", () => { waiting = at("teaching").checked; if (shown) show(shown); });
  at("guess").addEventListener("submit", guessed);
  at("sliders").addEventListener("input", ({ target }) => {
    if (target.type === "range") moving(target.dataset.key, snapped(byKey[target.dataset.key], Number(target.value)));
  });
  at("sliders").addEventListener("change", ({ target }) => (target.type === "range" ? slid(target) : typed(target)));
  at("sliders").addEventListener("focusin", ({ target }) => { if (target.dataset.key) take(target.dataset.key); });
  at("sliders").addEventListener("pointerover", ({ target }) => drafts.near(target.dataset.key));
  addEventListener("keydown", undoByKey);
}

function guessed(event) {
  event.preventDefault();
  if (!shown) return;
  waiting = false;
  show(shown);
  at("verdict").prepend(at("guessed").value === shown.governing ? "Well guessed. " : `You said the ${at("guessed").value}. `);
}

function slid(range) {
  range.value = now[range.dataset.key];
  clearTimeout(timer);
  timer = setTimeout(released, range.matches(":active") ? 0 : BURST_MS);
}

function typed(box) {
  const { key } = box.dataset;
  if (box.value === "" || !Number.isFinite(Number(box.value))) box.value = now[key];
  else { moving(key, Number(box.value)); released(); }
}

function undoByKey(/** @type {any} */ event) {
  if (!(event.ctrlKey || event.metaKey) || at("place-rim").hidden || ["number", "text"].includes(event.target.type)) return;
  const key = event.key.toLowerCase(), undo = key === "z" && !event.shiftKey;
  if (!undo && key !== "y" && key !== "z") return;
  event.preventDefault();
  step(undo ? history.back({ ...now }) : history.again({ ...now }));
}
