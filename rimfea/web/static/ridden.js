// Who rides what over what: values other than those of a set-up, by its name.

/** @type {Record<string, Record<string, number | string>>} */
const changed = {};

/** What differs from that set-up. @param {string} setup */
export const ridden = (setup) => ({ ...changed[setup] });

/** Another value; null is that of the set-up. @param {string} setup @param {string} key @param {any} value */
export function ride(setup, key, value) {
  const own = { ...changed[setup] };
  if (value === null) delete own[key]; else own[key] = value;
  changed[setup] = own;
}

/** All of them at once. @param {string} setup @param {Record<string, number | string>} values */
export function rideAs(setup, values) { changed[setup] = { ...values }; }
