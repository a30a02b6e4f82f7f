// The page: its places, the line to the program, and what is kept in this browser.

import { choices as asked, line } from "/ask.js";
import * as rim from "/bench.js";
import { at } from "/elements.js";
import { ready } from "/explain.js";
import { shelf, storage } from "/kept.js";
import * as form from "/measure.js";
import { follow, place } from "/places.js";

async function start() {
  ready();
  const kept = shelf(storage("localStorage")), choices = await asked();
  at("caution").textContent = choices.caution;
  rim.bench({ kept, choices, edit: (name, own, text) => (own ? form.edit(own) : form.openText(name, text)) });
  place("rim", rim.entered);
  place("measure", form.entered);
  follow(); // the answer is asked for while the form is made
  await form.measure({ kept, choices, joined: rim.joined });
}

addEventListener("storage", rim.entered);
line.addEventListener("gone", () => { at("gone").hidden = false; });
line.addEventListener("back", async () => {
  at("gone").hidden = true;
  if (!at("caution").dataset.started) { location.reload(); return; }
  form.back();
  await rim.back(await asked());
});

start().then(() => { at("caution").dataset.started = "yes"; });
