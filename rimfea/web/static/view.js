// One answer of the program shown: sentences, tables, pictures.

import { drawing, made } from "/elements.js";
import { asked, explained, sentence } from "/explain.js";
import { unparted } from "/words.js";

/**
 * @typedef {{title: string, head: {name: string, means: string}[], rows: string[][], marked: number[]}} Table
 * @typedef {{lines: string[], tables: Table[], pictures: {title: string, svg: string}[]}} View
 */

/** @param {any} box @param {View} told */
export function showView(box, told) {
  const [first, ...rest] = told.lines, prefix = box.id;
  const lead = first ? [sentence(first)] : [];
  if (first) lead[0].className = "lead";
  const others = rest.map((each) => sentence(each));
  const pictures = made("div", "", { className: "pictures" });
  pictures.append(...told.pictures.map((each) => picture(each, prefix)));
  for (const line of [...lead, ...others]) if (line.textContent.includes("WARNING")) line.classList.add("problem");
  box.replaceChildren(...lead, ...others, pictures, ...told.tables.map(table));
}

/** @param {Table} told */
export function table(told) {
  const whole = made("table"), head = made("tr"), body = made("tbody");
  head.append(...told.head.map(({ name, means }) => explained(made("th", name, { scope: "col" }), means)));
  body.append(...told.rows.map((cells, k) => {
    const row = made("tr", "", { className: told.marked.includes(k) ? "marked" : "" });
    row.append(...cells.map((cell, c) => {
      if (!c) return made("th", unparted(cell), { scope: "row" });
      return asked(made("td", unparted(cell), { className: cell.length < 24 ? "short" : "" }), told.head[c].name, told.head[c].means);
    }));
    return row;
  }));
  const top = made("thead");
  top.append(head);
  whole.append(made("caption", told.title), top, body);
  const wide = made("div", "", { className: "wide", tabIndex: 0, role: "region", "aria-label": told.title });
  wide.append(whole);
  return wide;
}

function picture({ title, svg }, prefix) { // with ids of its own
  const own = svg.replace(/(id="|href="#|url\(#|labelledby=")(?=picture)/g, `$1${prefix}-`);
  const figure = made("figure");
  figure.append(drawing(own), made("figcaption", unparted(title)));
  return figure;
}
