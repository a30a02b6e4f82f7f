// Numbers and words as they are shown. Nothing here knows the page.

/** Three figures, never in powers of ten. @param {?number} value @returns {string} */
export function figures(value) {
  if (value === null) return "-";
  const digits = 2 - Math.floor(Math.log10(Math.abs(Number(value.toPrecision(3))) || 1));
  const unit = 10 ** digits;
  return (Math.round(value * unit) / unit).toFixed(Math.max(0, digits));
}

/** A number with its unit, which no line break parts. @param {?number} value @param {string} unit */
export function quantity(value, unit) {
  return value === null ? "-" : `${figures(value)}\u00a0${unit}`;
}

/** A change with its sign; empty for none. @param {number} change @param {number} digits */
export function signed(change, digits) {
  if (Math.abs(change) < 1e-9) return "";
  return `${change > 0 ? "+" : "−"}${Math.abs(change).toFixed(digits)}`;
}

const UNIT = /(\d|±) (?=(?:N|mm|g|kg|bar|psi|MPa|kgf|lbf|km\/h|Hz|deg|%|\d)(?:[^\w]|$))/g;

/** A sentence in which no line break parts a number from its unit. @param {string} text */
export function unparted(text) {
  return text.replace(UNIT, "$1\u00a0");
}

/** A value in steps from another. @param {number} value @param {number} from @param {number} step */
export function stepped(value, from, step) {
  return Number((from + Math.round((value - from) / step) * step).toFixed(6));
}
