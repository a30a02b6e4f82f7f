// Drafts of a rim while one dimension is dragged: one is asked for at a time, and what they need is
// made ready while the hand rests on its way there.

import { ask } from "/ask.js";

const REST_MS = 150; // a hand that only passes by wants nothing

export class Drafts {
  /** @param {(key: string, value: number) => Promise<void>} draft asks for one, and shows it
   * @param {(key: string) => object} asks what makes drafts along a dimension ready */
  constructor(draft, asks) {
    this.draft = draft; this.asks = asks;
    /** @type {?{key: string, value: number}} */ this.next = null;
    this.busy = this.preparing = false;
    this.prepared = this.after = "";
    this.resting = 0;
  }

  /** What was dragged while another was worked out is asked next: the last of it. */
  async want(key, value) {
    this.next = { key, value };
    if (this.busy) return;
    this.busy = true;
    try {
      while (this.next) {
        ({ key, value } = this.next);
        this.next = null;
        await this.draft(key, value);
      }
    } finally { this.busy = false; }
  }

  /** Nothing more is wanted of them. */
  drop() { this.next = null; }

  /** The hand may be going there. @param {string | undefined} key */
  near(key) {
    this.pass();
    if (!key) return;
    this.resting = setTimeout(() => this.#prepare(key), REST_MS);
  }

  /** It went by. */
  pass() { clearTimeout(this.resting); }

  async #prepare(key) { // one at a time: the last one that was wanted meanwhile is next
    if (this.preparing) { this.after = key; return; }
    const asks = this.asks(key), name = JSON.stringify(asks);
    if (!asks || this.prepared === name) return;
    this.prepared = name;
    this.preparing = true;
    await ask("ready", asks).catch(() => { this.prepared = ""; });
    this.preparing = false;
    const next = this.after;
    this.after = "";
    if (next) this.#prepare(next);
  }
}
