// Elements, and how figures are written.

export const byId = (id) => document.getElementById(id);

// An element with attributes ("on..." are listeners, null and false are left out) and children.
export function el(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...children.filter((child) => child !== null && child !== undefined && child !== false));
  return made;
}

export function clock(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  const pad = (n) => String(n).padStart(2, "0");
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor(whole / 60) % 60;
  return hours ? `${hours}:${pad(minutes)}:${pad(whole % 60)}` : `${minutes}:${pad(whole % 60)}`;
}

export const figure = (value) => value.toFixed(1);

// Where a row is, as it is typed and shown.
export function place(row, units) {
  if (row.distance === null || row.distance === undefined) return "no place";
  const from = figure(row.distance);
  return row.end_distance == null ? `${from} ${units}` : `${from} to ${figure(row.end_distance)} ${units}`;
}

// "30", "29-31" (somewhere in between), "30 to 36" (a stretch), "-" (no place); null if it is none of them.
export function placeTyped(text) {
  const typed = text.trim().toLowerCase().replace(/(ft|feet|m)$/, "").trim();
  if (typed === "" || typed === "-") return { distance: null };
  const number = "(\\d+(?:[.,]\\d+)?)";
  const value = (found) => Number(found.replace(",", "."));
  let found = typed.match(new RegExp(`^${number}$`));
  if (found) return { distance: value(found[1]) };
  found = typed.match(new RegExp(`^${number}\\s*[-–]\\s*${number}$`));
  if (found) {
    const [low, high] = [value(found[1]), value(found[2])];
    return { distance: Math.round((low + high) * 50) / 100, distance_low: low, distance_high: high };
  }
  found = typed.match(new RegExp(`^${number}\\s*to\\s*(?:${number}|-)$`));
  if (found) return { distance: value(found[1]), end_distance: found[2] ? value(found[2]) : null };
  return null;
}

export const STANDINGS = {
  seen: "seen",
  possible: "not sure",
  "not-seen": "not there",
  reported: "told by others",
};
