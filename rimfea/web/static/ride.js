// "How it rides": who rides what over what, and what that does to the wheel.

import { ask } from "/ask.js";
import { Asking } from "/asking.js";
import { at, download, made } from "/elements.js";
import { explained } from "/explain.js";
import { ride, rideAs, ridden } from "/ridden.js";

const PAUSE_MS = 500; // of typing
const shown = new Asking("ride-answer", "ride"), dented = new Asking("dented-answer", "dented");
let fields, values, current, changed, timer;

/** @param {{choices: any, current: () => any, changed: () => void}} given */
export function rides(given) {
  ({ current, changed } = given);
  ({ groups: fields, values } = given.choices.ridden);
  at("ride-fields").replaceChildren(...fields.map(({ title, fields: own }, k) => {
    const box = made("details", "", { className: "fold", open: k < fields.length - 1 });
    box.append(made("summary", title[0].toUpperCase() + title.slice(1)), ...own.map(entry));
    return box;
  }));
  at("ride-fields").addEventListener("input", ({ target }) => {
    clearTimeout(timer);
    timer = setTimeout(() => typed(target), PAUSE_MS);
  });
  at("ride-usual").addEventListener("click", () => { rideAs(at("setup").value, {}); fill(); changed(); });
  at("ride-save").addEventListener("click", save);
  at("ride-dent").addEventListener("click", () => dented.show(current(), "following the dent takes a while"));
}

/** As the place comes into sight, or the rim or its set-up has changed. */
export function entered() {
  fill();
  const rim = current();
  shown.show(rim);
  if (dented.known && dented.known !== JSON.stringify(rim)) dented.clear();
}

function entry(field) {
  const line = made("div", "", { className: "ride-field" }), id = `ride-${field.key}`;
  line.dataset.key = field.key;
  const input = field.choices ? made("select", "", { id }) : made("input", "", { id, inputMode: "decimal", autocomplete: "off",
    placeholder: field.usual });
  if (field.choices) input.append(...field.choices.map((each) => new Option(each, each)));
  line.append(explained(made("label", field.word, { for: id }), field.meaning), input, made("span", field.unit, { className: "unit" }),
    made("p", "", { className: "wrong", role: "alert", id: `ride-wrong-${field.key}` }));
  input.dataset.key = field.key;
  return line;
}

function fill() { // the wheel that is looked at has its own fields
  const setup = at("setup").value, own = { ...values[setup], ...ridden(setup) };
  const other = at("wheel").value === "rear" ? "front_" : "rear_";
  for (const line of at("ride-fields").querySelectorAll(".ride-field")) {
    const { key } = line.dataset, input = at(`ride-${key}`);
    line.hidden = key.startsWith(other) && key !== "front_share";
    if (document.activeElement !== input) input.value = own[key] ?? "";
    line.classList.toggle("changed", key in ridden(setup));
  }
  at("ride-usual").disabled = !Object.keys(ridden(setup)).length;
}

function typed(input) {
  const { key } = input.dataset, setup = at("setup").value, text = input.value.trim();
  const field = fields.flatMap((each) => each.fields).find((each) => each.key === key);
  const value = field.choices ? text : text === "" ? null : Number(text.replace(",", "."));
  const wrong = typeof value === "number" && !(value >= field.low && value <= field.high);
  at(`ride-wrong-${key}`).textContent = wrong ? `A number from ${field.low} to ${field.high} ${field.unit}` : "";
  if (wrong) return;
  ride(setup, key, value === values[setup][key] ? null : value);
  changed();
}

async function save() {
  const setup = at("setup").value, name = Object.keys(ridden(setup)).length ? `own-${setup}` : setup;
  const told = await ask("setup", { ...current(), name });
  download(told.name, told.text);
}
