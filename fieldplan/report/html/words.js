// What the page says, and numbers in the reader's units.
const { words, units } = pageData;
const say = (name, values = {}) => words[name].replace(/\{(\w+)\}/g, (_, key) => values[key]);
const grouped = (value, digits) => value.toLocaleString("en-US", { minimumFractionDigits: digits, maximumFractionDigits: digits }).replaceAll(",", units.group);
const areaText = m2 => `${grouped(m2 / units.areaM2, 2)} ${units.area}`;
const lengthText = m => `${grouped(m / units.lengthM, 0)} ${units.length}`;
function massText(kg) {
  const value = kg / units.massKg;
  return `${grouped(value, value >= 0.005 && value < 0.995 ? 2 : value < 99.95 ? 1 : 0)} ${units.mass}`;
}
const timeText = s => s >= 3600 ? say("hours", { n: grouped(s / 3600, 1) }) : say("minutes", { n: grouped(s / 60, 0) });
const find = (at, what) => at.querySelector(what);
