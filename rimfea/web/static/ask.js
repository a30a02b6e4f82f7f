// What the page asks the program, and whether that is there.

export class Overtaken extends Error {}
export class Gone extends Error {}

/** A request that was answered with what is wrong with it. */
export class Refused extends Error {
  /** @param {{problem: string, faults?: {key: string, told: string}[], wanted?: string}} told */
  constructor(told) {
    super(told.problem);
    this.faults = told.faults || [];
    this.wanted = told.wanted || "";
  }
}

const AGAIN_MS = 1500;
const client = Math.random().toString(36).slice(2);

/** "gone" as soon as the program does not answer, "back" once it does again. */
export const line = new EventTarget();
let gone = false;

/**
 * @param {string} what @param {object} body @param {{number?: number, signal?: AbortSignal, channel?: string}} [given]
 * of requests that overtake one another, in the same channel, the number, the latest the largest.
 * @returns {Promise<any>} Raises Overtaken, Gone, Refused, or AbortError.
 */
export async function ask(what, body, { number = 0, signal, channel = "" } = {}) {
  const answer = await reached("/" + what, { method: "POST", body: JSON.stringify(body), signal,
    headers: { "content-type": "application/json", client: client + channel, number: String(number) } });
  if (answer.status === 409) throw new Overtaken();
  if (answer.status === 503) throw lost();
  const told = await answer.json();
  if (!answer.ok) throw new Refused(told);
  return told;
}

/** What there is to choose from. @returns {Promise<any>} */
export async function choices() {
  return (await reached("/choices", {})).json();
}

async function reached(path, given) {
  try {
    return await fetch(path, given);
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw lost();
  }
}

function lost() {
  if (!gone) {
    gone = true;
    line.dispatchEvent(new Event("gone"));
    setTimeout(again, AGAIN_MS);
  }
  return new Gone("the program does not answer");
}

async function again() {
  try {
    await fetch("/choices");
  } catch {
    setTimeout(again, AGAIN_MS);
    return;
  }
  gone = false;
  line.dispatchEvent(new Event("back"));
}
