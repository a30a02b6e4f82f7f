// The places of the page, one in sight at a time. A place has a section "place-…" in the page, a
// link to "#…" in its navigation, and may be told when it is entered.

import { at } from "/elements.js";

/** @type {Record<string, () => void>} */
const entered = {};
let usual = "", now = "";

/** A new place; the first one is the usual one. @param {string} name @param {() => void} [whenEntered] */
export function place(name, whenEntered = () => {}) {
  entered[name] = whenEntered;
  usual ||= name;
}

/** @param {string} name */
export function go(name) {
  if (location.hash.slice(1) === name) show();
  else location.hash = name;
}

/** Follow the address from now on. */
export function follow() {
  addEventListener("hashchange", show);
  show();
}

/** The rim on the bench has changed: tell the place in sight, but not that. @param {string} but */
export function refresh(but) { if (now && now !== but) entered[now](); }

function show() {
  const named = location.hash.slice(1);
  if (named && !(named in entered)) return; // a spot within a place
  const name = named || usual;
  for (const each of Object.keys(entered)) {
    at(`place-${each}`).hidden = each !== name;
    document.body.dataset.place = name;
    const link = document.querySelector(`nav a[href="#${each}"]`);
    if (each === name) {
      link?.setAttribute("aria-current", "page");
      document.title = `${link?.textContent}: a rim on the bench`;
    } else link?.removeAttribute("aria-current");
  }
  if (name !== now) at("places").scrollTop = 0;
  now = name;
  entered[name]();
}
