// Lessons: a class guesses before it is shown, hands are counted, and then the page shows it.

import { at, made } from "/elements.js";
import { go } from "/places.js";
import { unparted } from "/words.js";

const PLACES = { section: "rim", ride: "ride", around: "around", beside: "beside" };
let lessons, put, lesson = null, at_ = 0, hands = [];

/** @param {{choices: any, put: (state: any) => void}} given */
export function teach(given) {
  ({ put } = given);
  lessons = given.choices.lessons;
  at("lesson-list").replaceChildren(...lessons.map((each) => {
    const line = made("li"), button = made("button", each.title, { type: "button" });
    button.addEventListener("click", () => { lesson = each; step(0); });
    line.append(button, ` ${each.steps.length} step${each.steps.length > 1 ? "s" : ""}`);
    return line;
  }));
  at("lesson-show").addEventListener("click", show);
  at("lesson-next").addEventListener("click", () => step(at_ + 1));
  at("lesson-end").addEventListener("click", end);
}

function step(k) { // the answer is worked out while the class guesses
  at_ = k;
  const own = lesson.steps[k];
  hands = own.choices.map(() => 0);
  document.body.classList.add("asking");
  at("lesson").hidden = false;
  at("lesson-title").textContent = `${lesson.title} ${lesson.steps.length > 1 ? `(${k + 1} of ${lesson.steps.length})` : ""}`;
  at("lesson-say").textContent = unparted(own.say);
  at("lesson-ask").textContent = unparted(own.ask);
  at("lesson-told").textContent = "";
  at("lesson-show").hidden = false;
  at("lesson-next").hidden = true;
  guesses("");
  put({ rim: own.rim, changes: own.changes, ridden: own.ridden, others: own.others });
  go(PLACES[own.show]);
  at("lesson").scrollIntoView();
}

function guesses(right) { // how many hands went up, as bars
  const most = Math.max(1, ...hands);
  at("lesson-choices").replaceChildren(...lesson.steps[at_].choices.map((choice, k) => {
    const line = made("li", "", { className: right && choice === right ? "right" : "" });
    const bar = made("meter", "", { min: 0, max: most, value: hands[k], "aria-label": `${hands[k]} guessed: ${choice}` });
    const more = made("button", "+", { type: "button", "aria-label": `One more for: ${choice}`, disabled: Boolean(right) });
    more.addEventListener("click", () => { hands[k] += 1; guesses(""); at("lesson-choices").children[k].querySelector("button").focus(); });
    line.append(made("span", unparted(choice) + (right && choice === right ? " ✓" : "")), more, bar, made("span", String(hands[k]), { className: "count" }));
    return line;
  }));
}

function show() {
  const own = lesson.steps[at_], last = at_ === lesson.steps.length - 1;
  document.body.classList.remove("asking");
  guesses(own.right);
  at("lesson-told").textContent = unparted(own.told);
  at("lesson-show").hidden = true;
  at("lesson-next").hidden = last;
  dispatchEvent(new Event("resize")); // drawings that were out of sight
}

function end() {
  document.body.classList.remove("asking");
  at("lesson").hidden = true;
  put({ ...lesson.steps[at_], changes: {}, ridden: {}, others: [] });
  lesson = null;
  go("lessons");
}
