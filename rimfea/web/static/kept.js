// Sheets that this browser keeps: typed in or opened here, until somebody throws them away.

const PREFIX = "rimfea.sheet.";

/**
 * @typedef {{id: string, family: string, entries: Record<string, string>, guessed: string[],
 *   remarks?: Record<string, string[]>, name: string, text: ?string, saved: boolean, changed: number}} Kept
 * One sheet: what was typed by key, and the comments of the file that it was opened from; its text once it is whole, and whether that is in a file.
 */

/** The browser's storage of that name; where it keeps nothing, one that lasts as long as the page.
 * @param {"localStorage" | "sessionStorage"} name @returns {Storage} */
export function storage(name) {
  try {
    const there = window[name];
    there.setItem(PREFIX, "");
    there.removeItem(PREFIX);
    return there;
  } catch { return passing(); }
}

/** @returns {any} */
function passing() {
  const held = new Map();
  return { get length() { return held.size; }, key: (k) => [...held.keys()][k] ?? null,
    getItem: (key) => held.get(key) ?? null, removeItem: (key) => held.delete(key),
    setItem: (key, text) => held.set(key, text), isPassing: true };
}

/** @param {Storage} storage */
export function shelf(storage) {
  const read = (key) => {
    try {
      const told = JSON.parse(storage.getItem(key) || "null");
      return told && typeof told.entries === "object" ? told : null;
    } catch { return null; }
  };
  return {
    /** All of them, the one changed last first. @returns {Kept[]} */
    all() {
      const keys = Array.from({ length: storage.length }, (_, k) => storage.key(k));
      return keys.filter((key) => key?.startsWith(PREFIX)).map(read).filter(Boolean)
        .sort((one, other) => other.changed - one.changed);
    },
    /** @param {string} id @returns {?Kept} */
    get: (id) => read(PREFIX + id),
    /** Whether it could be kept beyond this page. @param {Kept} sheet */
    put(sheet) {
      try { storage.setItem(PREFIX + sheet.id, JSON.stringify(sheet)); } catch { return false; }
      return !("isPassing" in storage);
    },
    /** @param {string} id */
    drop(id) { storage.removeItem(PREFIX + id); },
  };
}

/** The id of the sheet that a change of the storage is about; empty if of none. @param {?string} key */
export const changedSheet = (key) => (key?.startsWith(PREFIX) ? key.slice(PREFIX.length) : "");

/** A sheet in which nothing was filled in yet. @param {string} family @returns {Kept} */
export function blank(family) {
  const id = Date.now().toString(36) + Math.random().toString(36).slice(2, 6);
  return { id, family, entries: {}, guessed: [], name: "", text: null, saved: false, changed: Date.now() };
}
