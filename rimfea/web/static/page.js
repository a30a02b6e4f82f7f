// The page: its places, the line to the program, and what is kept in this browser.

import { choices as asked, line } from "/ask.js";
import * as round from "/around.js";
import * as rim from "/bench.js";
import * as side from "/beside.js";
import { at } from "/elements.js";
import { ready } from "/explain.js";
import { shelf, storage } from "/kept.js";
import { teach } from "/lessons.js";
import * as form from "/measure.js";
import { follow, place, refresh } from "/places.js";
import * as rims from "/rims.js";
import * as wheel from "/ride.js";

async function start() {
  ready();
  const kept = shelf(storage("localStorage")), choices = await asked();
  at("caution").textContent = choices.caution;
  rim.bench({ kept, choices, edit: (name, own, text) => (own ? form.edit(own) : form.openText(name, text)), chosen: side.others });
  place("rim", rim.entered);
  place("ride", () => { rim.ensure(); wheel.entered(); });
  place("around", () => { rim.ensure(); round.entered(); });
  place("beside", () => { rim.ensure(); side.entered(); });
  place("measure", form.entered);
  place("lessons");
  wheel.rides({ choices, current: rim.current, changed: rim.ridden });
  round.around({ current: rim.current });
  side.beside({ current: rim.current, rims: rims.all });
  teach({ choices, put: (state) => { side.against(state.others || []); rim.put(state).catch(() => {}); } });
  follow(); // the answer is asked for while the form is made
  await form.measure({ kept, choices, joined: rim.joined });
}

addEventListener("rim-changed", () => refresh("rim"));
addEventListener("storage", rim.entered);
line.addEventListener("gone", () => { at("gone").hidden = false; });
line.addEventListener("back", async () => {
  at("gone").hidden = true;
  if (!at("caution").dataset.started) { location.reload(); return; }
  form.back();
  await rim.back(await asked());
});

start().then(() => { at("caution").dataset.started = "yes"; });
