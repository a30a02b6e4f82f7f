// "What is this?" of any word or number: under the pointer, by touch and by keyboard.

import { ask } from "/ask.js";
import { at, drawing, made } from "/elements.js";
import { unparted } from "/words.js";

/** Make what an element says something to ask about. @param {any} element @param {string} meaning */
export function explained(element, meaning) {
  if (!meaning) return element;
  const button = made("button", "", { type: "button", className: "word", title: meaning,
    "aria-haspopup": "dialog" });
  button.append(...element.childNodes);
  button.addEventListener("click", () => tell(button.textContent, [meaning]));
  element.append(button);
  return element;
}

/** A number that is asked about where it stands. @param {any} cell @param {string} word @param {string} meaning */
export function asked(cell, word, meaning) {
  if (!meaning) return cell;
  cell.classList.add("asked");
  cell.addEventListener("click", () => tell(`${word}: ${cell.textContent}`, [meaning]));
  return cell;
}

/** A sentence with a sign that tells its words. @param {string} text @param {string} [tag] */
export function sentence(text, tag = "p") {
  const line = made(tag, unparted(text)), sign = made("button", "?", { type: "button", className: "what",
    "aria-label": "What do these words mean?", "aria-haspopup": "dialog" });
  sign.addEventListener("click", async () => {
    const { terms } = await ask("explain", { text });
    tell(unparted(text), terms.map((each) => each.told), terms.map((each) => each.sketch));
  });
  line.append("\u00a0", sign);
  return line;
}

/** @param {string} about @param {string[]} meanings @param {string[]} [sketches] of each, empty for none */
function tell(about, meanings, sketches = []) {
  at("about").textContent = about;
  const told = meanings.length ? meanings : ["Plain words: nothing more to say."];
  at("meanings").replaceChildren(...told.flatMap((each, k) => [made("p", unparted(each)),
    ...(sketches[k] ? [drawing(sketches[k])] : [])]));
  at("meaning").showModal();
}

/** The dialog closes by its button, by Escape, and by a touch beside it. */
export function ready() {
  const dialog = at("meaning");
  dialog.addEventListener("click", (event) => { if (event.target === dialog) dialog.close(); });
  at("meaning-close").addEventListener("click", () => dialog.close());
}
