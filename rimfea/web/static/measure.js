// "Measure a rim": a form beside a drawing that grows with it. What is typed is kept in this
// browser at once, and asked of the program as soon as the hand rests.

import { Gone, Overtaken, ask } from "/ask.js";
import { at, download, made, taken } from "/elements.js";
import { blank, changedSheet, storage } from "/kept.js";
import { go } from "/places.js";
import { View, roomOf } from "/section.js";
import { unparted } from "/words.js";

/** @typedef {import("./kept.js").Kept} Kept */

const REST_MS = 120;
const OPENED = "rimfea.opened"; // which sheet this tab has in hand, also after a reload
const tab = storage("sessionStorage");

let kept, choices, bench; // the shelf; what there is to choose from; how a sheet joins the bench
/** @type {Kept} */ let sheet;
let told = null, drawing = null, fields = {}, hand = "", asked = 0, timer, tried = false, remark = "";

/** @param {{kept: any, choices: any, joined: (sheet: Kept) => void}} given */
export async function measure(given) {
  ({ kept, choices, joined: bench } = given);
  at("family").replaceChildren(...choices.families.map((name) => new Option(name, name)));
  at("family").addEventListener("change", () => { sheet.family = at("family").value; changed(); build(); });
  at("entry").addEventListener("input", (event) => typed(event.target));
  at("entry").addEventListener("focusin", (event) => inHand(event.target.dataset.key || ""));
  at("entry").addEventListener("keydown", onwards);
  at("entry").addEventListener("submit", (event) => { event.preventDefault(); join(); });
  at("sheet-save").addEventListener("click", save);
  at("sheet-new").addEventListener("click", () => put(blank(choices.families[0]), true));
  at("sheet-drop").addEventListener("click", drop);
  at("sheet-open").addEventListener("change", () => open(taken(at("sheet-open"))));
  at("begun").addEventListener("change", () => { const one = kept.get(at("begun").value); if (one) put(one, true); });
  addEventListener("storage", (event) => elsewhere(changedSheet(event.key)));
  addEventListener("resize", draw);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
  const [latest] = kept.all();
  await put(kept.get(tab.getItem(OPENED)) || (latest && !latest.saved ? latest : blank(choices.families[0])));
}

/** The form of a sheet, to change its numbers. @param {Kept} one */
export async function edit(one) {
  await put(one, true);
  go("measure");
}

/** A sheet's text as a new one in the form. @param {string} name @param {string} text */
export async function openText(name, text) {
  const found = await ask("entries", { name, text });
  const { family = choices.families[0], ...entries } = found.entries;
  const one = { ...blank(family), entries, guessed: found.guessed, remarks: found.remarks, name: entries.name || "" };
  await edit(one);
  const others = found.left_out.join(", ");
  remark = others && `Left out of ${name}, as a sheet has no such line: ${others}. `;
  changed();
}

/** As the place comes into sight. */
export function entered() {
  if (choices) draw();
}

/** The program is there again. */
export function back() { changed(); }

async function put(one, focus = false) {
  sheet = one;
  tab.setItem(OPENED, sheet.id);
  drawing = null;
  tried = false;
  remark = "";
  await build();
  list();
  if (focus) at(sheet.entries.name ? "in-inner_width_mm" : "in-name")?.focus();
}

// --- the fields -----------------------------------------------------------------------------

async function build() {
  at("family").value = sheet.family;
  const { groups } = await ask("form", { family: sheet.family });
  fields = Object.fromEntries(groups.flatMap((each) => each.fields).map((each) => [each.key, each]));
  at("fields").replaceChildren(...groups.map(group));
  for (const [key, text] of Object.entries(sheet.entries)) if (at("in-" + key)) at("in-" + key).value = text;
  for (const key of sheet.guessed) if (at("guess-" + key)) at("guess-" + key).checked = true;
  await answer();
}

function group({ group: title, fields: own }) { // what must be filled in stands open
  const needed = own.filter((each) => each.required), rest = own.filter((each) => !each.required);
  const fold = made("details", "", { className: "fold" });
  fold.append(made("summary", needed.length ? "More, if you like" : title), ...rest.map(row));
  if (!needed.length) return fold;
  const box = made("fieldset");
  box.append(made("legend", title), ...needed.map(row), ...(rest.length ? [fold] : []));
  return box;
}

function row(each) {
  const box = made("div", "", { className: "entry", id: "entry-" + each.key });
  const label = made("label", each.label, { for: "in-" + each.key });
  if (each.unit) label.append(" ", made("span", each.unit, { className: "unit" }));
  const input = each.choices.length ? made("select") : made("input", "", { type: "text", autocomplete: "off",
    spellcheck: false, inputMode: each.is_number ? "decimal" : "text" });
  if (each.choices.length) input.append(new Option("not said", ""), ...each.choices.map((name) => new Option(name, name)));
  Object.assign(input, { id: "in-" + each.key });
  input.dataset.key = each.key;
  input.setAttribute("aria-describedby", `how-${each.key} wrong-${each.key}`);
  box.append(label, input);
  if (each.is_number) {
    const guess = made("input", "", { type: "checkbox", id: "guess-" + each.key, "aria-label": `${each.label}: guessed, not measured` });
    guess.dataset.guess = guess.dataset.key = each.key;
    const tick = made("label", "", { className: "guess", title: "nobody measured it: it gets the ± of a guess" });
    tick.append(guess, " guess");
    box.append(tick);
  }
  box.append(made("span", "", { className: "mean", id: "mean-" + each.key }),
    made("p", how(each), { className: "quiet", id: "how-" + each.key }),
    made("p", "", { className: "wrong", id: "wrong-" + each.key }));
  return box;
}

function how(each) {
  const allowed = each.allowed ? ` (${each.allowed})` : "";
  const left = each.required ? "" : `; left out: ${each.left_out || "nothing is said"}`;
  return unparted(`${each.how}${allowed}${left}`);
}

function onwards(event) { // Enter is what a caliper with a cable sends after its number
  if (event.key !== "Enter" || event.target.type !== "text") return;
  event.preventDefault();
  const boxes = [...at("entry").querySelectorAll("input[type=text], #join")].filter((box) => box.checkVisibility());
  boxes[boxes.indexOf(event.target) + 1]?.focus();
}

function inHand(key) {
  hand = key;
  const each = fields[key];
  at("hand").replaceChildren(...(each ? [made("strong", each.label), `: ${how(each)}`] : []));
  draw();
}

// --- what was typed -------------------------------------------------------------------------

function typed(input) {
  const { key, guess } = input.dataset;
  if (!key) return;
  if (guess) sheet.guessed = input.checked ? [...sheet.guessed, key] : sheet.guessed.filter((each) => each !== key);
  else if (input.value.trim()) sheet.entries[key] = input.value;
  else delete sheet.entries[key];
  sheet.name = sheet.entries.name || "";
  changed();
}

function changed() {
  Object.assign(sheet, { saved: false, text: null, changed: Date.now() });
  keep();
  clearTimeout(timer);
  timer = setTimeout(answer, REST_MS);
}

function keep() {
  if (!Object.keys(sheet.entries).length) return;
  const done = kept.put(sheet);
  at("keeping").textContent = !done ? "This browser keeps nothing: save the sheet before you leave." :
    sheet.saved ? "Saved as a file, and kept in this browser." : "Kept in this browser, not saved as a file yet.";
}

async function answer() {
  const own = ++asked, entries = { ...sheet.entries, family: sheet.family };
  try {
    const found = await ask("entered", { entries: onlyKnown(entries), guessed: sheet.guessed.filter((key) => fields[key]),
      remarks: sheet.remarks || {} });
    if (own === asked) show(found);
  } catch (error) {
    if (own === asked && !(error instanceof Gone || error instanceof Overtaken)) say(error.message);
  }
}

function onlyKnown(entries) { // what another kind of section has stays kept, and is not asked for
  return Object.fromEntries(Object.entries(entries).filter(([key]) => key === "family" || fields[key]));
}

function show(found) {
  told = found;
  if (sheet.text !== found.text) { sheet.text = found.text; keep(); list(); }
  if (found.drawing) drawing = found.drawing;
  for (const [key, each] of Object.entries(fields)) {
    const wrongs = found.faults.filter((fault) => fault.key === key).map((fault) => fault.told);
    if (tried && found.missing.includes(key)) wrongs.push("Still to measure.");
    const input = at("in-" + key);
    at("wrong-" + key).textContent = unparted(wrongs.join(" "));
    at("mean-" + key).textContent = unparted(found.means[key] || "");
    input.setAttribute("aria-invalid", String(wrongs.length > 0));
    if (wrongs.length) input.closest("details")?.setAttribute("open", "");
    if (input.type === "text") input.placeholder = each.required ? "" : found.assumed[key] ? `${found.assumed[key]}, assumed` : each.left_out.slice(0, 40);
  }
  say(remark + standing(found));
  at("join").textContent = found.text ? "See what gives first" : "See what gives first…";
  draw();
}

function standing({ faults, missing, text }) {
  const elsewhere = faults.filter((fault) => !fields[fault.key]).map((fault) => fault.told);
  if (elsewhere.length) return elsewhere.join(" ");
  if (faults.length) return `${faults.length} to put right: ${names(faults.map((fault) => fault.key))}.`;
  if (missing.length) return `${missing.length} still to fill in: ${names(missing)}.`;
  return text ? "Whole: every number fits." : "";
}

function names(keys) {
  const own = Object.keys(fields).filter((key) => keys.includes(key)).map((key) => fields[key].label);
  return own.length > 4 ? `${own.slice(0, 4).join(", ")} …` : own.join(", ");
}

function say(text) { at("standing").textContent = unparted(text); }

// --- the drawing ----------------------------------------------------------------------------

function draw() {
  const canvas = at("sketch");
  if (!drawing || !canvas.clientWidth) return;
  const view = new View(canvas, roomOf(drawing.rings, Object.values(drawing.jaws))), whole = Boolean(told?.text);
  at("sketch").classList.toggle("dim", !whole);
  at("sketched").textContent = whole ? "Drawn from your numbers." :
    "Where you have not measured yet, usual walls are drawn.";
  view.faint(!whole);
  view.fill(drawing.rings);
  view.outline(drawing.rings);
  view.faint(false);
  const label = fields[hand]?.label || "";
  view.light(drawing.rings, drawing.edges, choices.walls.indexOf(label));
  if (drawing.jaws[hand]) view.jaws(drawing.jaws[hand], label);
  const hold = drawing.jaws[hand]?.hold;
  canvas.setAttribute("aria-label", hold ? `Section of the rim; the ${label} is marked${hold === "here" ? "" : `, ${hold}`}` : "Section of the rim");
}

// --- sheets ---------------------------------------------------------------------------------

function list() {
  const all = kept.all().filter((one) => one.id !== sheet.id);
  at("begun").replaceChildren(new Option("Another sheet…", ""), ...all.map((one) =>
    new Option(`${one.name || "no name yet"}${one.saved ? "" : ", not saved"}`, one.id)));
  at("begun").hidden = !all.length;
}

function complain() { // all at once, and the hand goes to the first
  tried = true;
  show(told);
  const first = Object.keys(fields).find((key) => at("in-" + key).getAttribute("aria-invalid") === "true");
  if (first) at("in-" + first).focus();
}

async function whole() { // with what was typed last
  if (!sheet.text) { clearTimeout(timer); await answer(); }
  if (!sheet.text) complain();
  return sheet.text;
}

async function join() {
  if (!(await whole())) return;
  bench(sheet);
  go("rim");
}

async function save() {
  const text = await whole();
  if (!text) return;
  download(`${sheet.name.replace(/[^\p{L}\p{N}_-]+/gu, "-") || "rim"}.toml`, text);
  sheet.saved = true;
  keep();
  list();
}

function drop() {
  const unsaved = Object.keys(sheet.entries).length && !sheet.saved;
  if (unsaved && !confirm(`Throw ${sheet.name || "this sheet"} away? It is in no file.`)) return;
  kept.drop(sheet.id);
  put(blank(choices.families[0]), true);
}

async function open(file) {
  if (!file) return;
  try {
    await openText(file.name, await file.text());
  } catch (error) {
    say(error.message);
  }
}

function elsewhere(id) { // another tab changed a sheet: this one's form follows, unless a hand is in it
  const one = id && kept.get(id);
  list();
  if (one && id === sheet.id && !at("entry").contains(document.activeElement)) put(one);
}
