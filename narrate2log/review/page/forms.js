// What is typed: a row over, a new one, its place, which other row it is, and what of it is another thing.

import { clock, el, place, placeTyped, STANDINGS } from "./dom.js";
import { label, run, wordAt } from "./run.js";

const PLACE_HOW = "30, or 29-31 if it lies somewhere in between, or 30 to 36 for a stretch, or - if it has no place";

// fields: [name, element]; read(values) gives what is to be sent, or throws a sentence.
function form(title, fields, read, { send, cancel, says }) {
  const wrong = el("p", { class: "wrong", role: "alert" });
  const made = el(
    "form",
    { class: "type", "aria-label": title, novalidate: true },
    el("h3", {}, title),
    ...fields,
    wrong,
    el(
      "div",
      { class: "more" },
      el("button", { type: "submit", class: "stands" }, el("kbd", {}, "Enter"), el("span", {}, says)),
      el("button", { type: "button", onclick: cancel }, "Leave it ", el("kbd", {}, "Esc")),
    ),
  );
  made.addEventListener("submit", (event) => {
    event.preventDefault();
    try {
      send(read());
    } catch (error) {
      wrong.textContent = typeof error === "string" ? error : "This cannot be read; type it again.";
      if (typeof error !== "string") throw error;
    }
  });
  made.addEventListener("keydown", (event) => {
    if (event.key === "Escape") cancel();
    if (event.key === "Enter" && event.target.tagName === "TEXTAREA" && !event.shiftKey) {
      event.preventDefault();
      made.requestSubmit();
    }
  });
  return made;
}

function field(name, control, how = null) {
  control.id = `type-${name.replace(/\W+/g, "-")}`;
  const told = how ? el("small", { id: `${control.id}-how` }, how) : null;
  if (told) control.setAttribute("aria-describedby", told.id);
  return el("div", { class: `field ${control.tagName.toLowerCase()}` }, el("label", { for: control.id }, name), control, told);
}

const line = (value) => el("input", { type: "text", autocomplete: "off", value: value ?? "" });
const number = (value) => el("input", { type: "text", inputmode: "decimal", autocomplete: "off", value: value ?? "" });
const lines = (value) => {
  const made = el("textarea", { rows: "2" });
  made.value = value ?? "";
  return made;
};

function pick(options, value, none = null) {
  const made = el("select", {}, none === null ? null : el("option", { value: "" }, none));
  for (const [key, says] of Object.entries(options)) made.append(el("option", { value: key }, says));
  made.value = value ?? "";
  return made;
}

function things(value) {
  const made = el("select", {}, value ? null : el("option", { value: "" }, "choose what it is"));
  const kinds = Object.groupBy
    ? Object.groupBy(Object.entries(run.features), ([, one]) => one.kind)
    : { "": Object.entries(run.features) };
  for (const [kind, entries] of Object.entries(kinds)) {
    entries.sort((a, b) => a[1].label.localeCompare(b[1].label));
    made.append(el("optgroup", { label: kind }, ...entries.map(([key, one]) => el("option", { value: key }, one.label))));
  }
  made.value = value ?? "";
  return made;
}

function figureTyped(name, text) {
  const typed = text.trim().replace(",", ".");
  if (typed === "") return null;
  if (!/^\d+(\.\d+)?$/.test(typed)) throw `${name}: “${text}” is no number; type one, or nothing.`;
  return Number(typed);
}

function hoursTyped(text) {
  if (!text.trim()) return { clock_from: null, clock_to: null };
  const found = text.trim().match(/^(\d{1,2})(?:\s*(?:-|–|to)\s*(\d{1,2}))?$/);
  if (!found) throw `Clock: “${text}” is no hour; type 3, or 10-2.`;
  return { clock_from: Number(found[1]), clock_to: found[2] ? Number(found[2]) : null };
}

function placeGiven(text) {
  const given = placeTyped(text);
  if (!given) throw `Where: “${text}” is no place; type ${PLACE_HOW}.`;
  return given;
}

const placeOf = (row) => (row.distance === null ? "-" : place(row, "").trim());
const hoursOf = (row) => [row.clock_from, row.clock_to].filter((hour) => hour !== null).join("-");

// The fields of a row, and how to read what was changed of them.
function rowFields(row) {
  const controls = {
    words: lines(row.read_as),
    feature: things(row.feature),
    standing: pick(STANDINGS, row.standing),
    where: line(placeOf(row)),
    severity: pick({ minor: "minor", moderate: "moderate", severe: "severe" }, row.severity, "not said"),
    hours: line(hoursOf(row)),
    percent: number(row.amount_pct),
    inches: number(row.amount_in),
    material: pick(run.materials, row.material, "not said"),
    size: number(row.size_in),
    depth: number(row.depth_ft),
    remark: lines(row.remark),
  };
  const was = Object.fromEntries(Object.entries(controls).map(([name, one]) => [name, one.value]));
  const fields = [
    field("The words, as they are to be read", controls.words),
    el(
      "div",
      { class: "grid" },
      field("What it is", controls.feature),
      field("How sure", controls.standing),
      field(`Where (${run.state.units})`, controls.where, PLACE_HOW),
      field("How bad", controls.severity),
      field("Clock", controls.hours, "3, or 10-2"),
      field("Percent", controls.percent),
      field("Inches", controls.inches),
      field("Material", controls.material),
      field("Pipe size (in)", controls.size),
      field("Depth (ft)", controls.depth),
    ),
    field("Remark", controls.remark, "Made anew from the rest unless you type it."),
  ];
  const read = () => {
    const given = {};
    const now = (name) => controls[name].value;
    const changed = (name) => now(name) !== was[name];
    if (changed("words")) {
      if (!now("words").trim()) throw "Type the words as they are to be read.";
      given.read_as = now("words");
    }
    for (const name of ["feature", "standing"]) if (changed(name)) given[name] = now(name);
    for (const name of ["severity", "material"]) if (changed(name)) given[name] = now(name) || null;
    if (changed("where")) Object.assign(given, placeGiven(now("where")));
    if (changed("hours")) Object.assign(given, hoursTyped(now("hours")));
    const figures = { percent: "amount_pct", inches: "amount_in", size: "size_in", depth: "depth_ft" };
    for (const [name, key] of Object.entries(figures)) if (changed(name)) given[key] = figureTyped(name, now(name));
    if (changed("remark") && now("remark").trim()) given.remark = now("remark");
    return given;
  };
  return { controls, fields, read };
}

export function typeOver(row, how) {
  const { fields, read } = rowFields(row);
  return form("Type over", fields, () => {
    const given = read();
    if (!Object.keys(given).length) throw "Nothing is changed yet; type over what is wrong, or leave it.";
    return given;
  }, { ...how, says: "Keep it so" });
}

export function newRow(suggested, how) {
  const { controls, fields, read } = rowFields({ ...suggested, remark: "" });
  return form("A new row", fields, () => {
    if (!controls.feature.value) throw "Choose what it is.";
    return { ...suggested, ...read(), feature: controls.feature.value };
  }, { ...how, says: "Add it" });
}

export function moveAlong(row, how) {
  const where = line(placeOf(row));
  return form("Move along the pipe", [field(`Where (${run.state.units})`, where, PLACE_HOW)], () => placeGiven(where.value), { ...how, says: "Move it" });
}

export function sameAs(row, how) {
  const others = run.state.rows.filter((one) => one.id !== row.id);
  // What is likeliest the same is the same thing, near by.
  const far = (one) => (one.distance === null || row.distance === null ? 1e6 : Math.abs(one.distance - row.distance));
  others.sort((a, b) => (a.feature !== row.feature) - (b.feature !== row.feature) || far(a) - far(b));
  const into = number(others[0]?.row);
  const meant = () => others.find((one) => String(one.row) === into.value.trim());
  const shown = el("p", { role: "status" });
  const show = () => (shown.textContent = meant()?.remark ?? "Type the number of another row.");
  into.addEventListener("input", show);
  show();
  return form("Same as another row", [field("This was told once more: it is row number", into), shown], () => {
    if (!meant()) throw `There is no other row ${into.value}; type the number of one in the table.`;
    return { into: meant().id };
  }, { ...how, says: "Make them one" });
}

export function twoThings(row, how) {
  const boxes = row.sightings.map((time) => {
    const word = wordAt(time);
    const words = word < 0 ? "" : run.words.slice(word, word + 8).map((one) => one.text).join(" ");
    const box = el("input", { type: "checkbox" });
    return { time, box, shown: el("label", { class: "tick" }, box, ` ${clock(time)} ${words}…`) };
  });
  const feature = things(row.feature);
  const where = line(placeOf(row));
  const several = row.sightings.length > 1;
  return form(
    `Two things in one: ${label(row)}`,
    [
      several ? el("fieldset", {}, el("legend", {}, "Which tellings are of the second thing?"), ...boxes.map((one) => one.shown)) : null,
      el("div", { class: "grid" }, field("The second is", feature), field(`It is at (${run.state.units})`, where, PLACE_HOW)),
    ],
    () => {
      const sightings = boxes.filter((one) => one.box.checked).map((one) => one.time);
      if (sightings.length && sightings.length === boxes.length) throw "Leave the first thing one telling at least.";
      const second = {};
      if (feature.value !== row.feature) second.feature = feature.value;
      if (where.value !== placeOf(row)) Object.assign(second, placeGiven(where.value));
      return sightings.length ? { second, sightings } : { second };
    },
    { ...how, says: "Part them" },
  );
}
