// What was tried, to take it back and to bring it again.

const MOST = 200;

/** @template T */
export class History {
  constructor() {
    /** @type {T[]} */ this.past = [];
    /** @type {T[]} */ this.future = [];
  }

  /** What was there before something new. @param {T} state */
  push(state) {
    this.past.push(state);
    if (this.past.length > MOST) this.past.shift();
    this.future = [];
  }

  /** The state before; the one now can be brought again. @param {T} now @returns {T | undefined} */
  back(now) { return this.#step(this.past, this.future, now); }

  /** @param {T} now @returns {T | undefined} */
  again(now) { return this.#step(this.future, this.past, now); }

  #step(from, to, now) {
    if (!from.length) return undefined;
    to.push(now);
    return from.pop();
  }
}
