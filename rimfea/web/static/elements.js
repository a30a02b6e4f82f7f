// Elements made and found: no text is ever taken for markup.

/** @param {string} id @returns {any} The element of that id. */
export const at = (id) => document.getElementById(id);

/**
 * @param {string} tag @param {string} [text] @param {Record<string, any>} [given] properties; those
 * with a dash are attributes. @returns {any}
 */
export function made(tag, text = "", given = {}) {
  const element = document.createElement(tag);
  if (text) element.textContent = text;
  for (const [key, value] of Object.entries(given)) {
    if (key.includes("-") || key === "for" || key === "role") element.setAttribute(key, value);
    else element[key] = value;
  }
  return element;
}

/** Offer a text as a file. @param {string} name @param {string} text */
export function download(name, text) {
  const link = made("a", "", { href: URL.createObjectURL(new Blob([text], { type: "text/plain" })) });
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
}

/** The one file of an input, which forgets it so that it can be opened again. @param {any} input */
export function taken(input) {
  const [file] = input.files;
  input.value = "";
  return file;
}

/** A picture of the program as an element. The page allows no styles in markup: they are set one by
 * one, as properties. @param {string} svg @returns {any} */
export function drawing(svg) {
  const bare = svg.replace(/<style[^>]*>[^]*?<\/style>/g, "").replace(/ style="/g, ' data-style="');
  const whole = bare.includes("xmlns=") ? bare : bare.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"');
  /** @type {any} */ const drawn = document.importNode(new DOMParser().parseFromString(whole, "image/svg+xml").documentElement, true);
  for (const each of [drawn, ...drawn.querySelectorAll("[data-style]")]) {
    each.style.cssText = each.dataset.style || "";
    delete each.dataset.style;
  }
  return drawn;
}
