// A place that shows one answer about the rim on the bench: asked again when that has changed.

import { Gone, Overtaken, Refused, ask } from "/ask.js";
import { at, made } from "/elements.js";
import { showView } from "/view.js";

export class Asking {
  /** What is shown, what is waited for. @param {string} box the id of where @param {string} what is asked for */
  constructor(box, what) {
    this.box = box; this.what = what; this.known = ""; this.asking = ""; this.number = 0;
  }

  /** Ask, unless that is what is shown. @param {object} body @param {string} [wait] what is said meanwhile */
  async show(body, wait = "working it out") {
    const asked = JSON.stringify(body);
    if (!body || asked === this.known || asked === this.asking) return;
    const own = ++this.number;
    this.asking = asked;
    this.known = "";
    at(this.box).setAttribute("aria-busy", "true");
    this.state(wait);
    try {
      const told = await ask(this.what, body, { number: own, channel: this.what });
      if (own !== this.number) return;
      showView(at(this.box), told);
      this.known = asked;
      this.asking = "";
      this.state("");
    } catch (error) {
      if (own === this.number) this.asking = "";
      if (own !== this.number || error instanceof Overtaken || error.name === "AbortError") return;
      if (!(error instanceof Refused || error instanceof Gone)) throw error;
      this.state("");
      at(this.box).replaceChildren(made("p", error.message, { role: "alert", className: "problem" }));
    }
    at(this.box).removeAttribute("aria-busy");
  }

  /** Nothing is shown, and nothing waited for. */
  clear() { this.number += 1; this.known = this.asking = ""; this.state(""); at(this.box).replaceChildren(); }

  state(text) { at(`${this.box}-state`).textContent = text; }
}
