// Each leg drawn along its length: the rows at their places, how sure each place is, and the camera.

import { clock, el, figure, place } from "./dom.js";
import { label, placeAt, run } from "./run.js";

const SVG = "http://www.w3.org/2000/svg";
const LEVELS = 3;
const MARK = 28;
const TOP = LEVELS * MARK + 8;
const BORE = 26;
const HEIGHT = TOP + BORE + 26;
const MARGIN = 22;
// Shapes tell kinds apart, the number tells which row it is.
const SHAPES = { defect: "▲", landmark: "■", pipe: "▬", water: "◆", note: "●", event: "○" };

function draw(tag, attributes) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
}

export class Pipe {
  // goRow(id), goPlace(leg, distance)
  constructor(host, legend, { goRow, goPlace }) {
    Object.assign(this, { host, legend, goRow, goPlace, legs: [], drawn: new Map(), current: null });
    this.width = host.clientWidth;
    new ResizeObserver(([{ contentRect }]) => {
      if (Math.abs(contentRect.width - this.width) <= 1) return;
      this.width = contentRect.width;
      this.drawn.clear();
      if (run.state) this.render();
    }).observe(host);
    host.addEventListener("keydown", (event) => {
      const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
      const marks = [...host.querySelectorAll("button")];
      const at = marks.indexOf(document.activeElement);
      if (!step || at < 0) return;
      event.preventDefault();
      marks[(at + step + marks.length) % marks.length].focus();
    });
  }

  render() {
    const { units } = run.state;
    const placed = run.state.rows.filter((row) => row.distance !== null);
    const derived = run.state.derived.filter((row) => row.distance != null);
    const course = run.course.filter((point) => point.distance !== null);
    const waiting = new Set(run.state.queue.map((item) => item.id));
    this.legs = run.state.legs.map(({ leg }) => {
      const mine = [...placed, ...derived].filter((row) => (row.leg ?? 1) === leg);
      const ends = mine.map((row) => Math.max(row.distance_high ?? 0, row.end_distance ?? 0, row.distance));
      const far = Math.max(10, ...ends, ...course.filter((p) => p.leg === leg).map((p) => p.distance));
      return { leg, rows: mine.sort((a, b) => a.distance - b.distance), far };
    });
    // Of many legs one decision changes one.
    this.legs = this.legs.map((leg) => {
      const shown = leg.rows.map((row) => [row.id, row.row, row.distance, row.end_distance, row.distance_low, row.distance_high, row.feature, waiting.has(row.id)]);
      const key = JSON.stringify([leg.far, this.legs.length, shown]);
      const before = this.drawn.get(leg.leg);
      if (before?.key === key) return before;
      const made = { ...leg, key };
      made.box = this.strip(made, waiting, units);
      this.drawn.set(leg.leg, made);
      return made;
    });
    const boxes = this.legs.map((leg) => leg.box);
    if (boxes.length !== this.host.children.length || boxes.some((box, at) => box !== this.host.children[at])) this.host.replaceChildren(...boxes);
    this.legend.textContent = this.signs(placed.length);
    this.mark(this.current);
    this.moved(this.at ?? 0);
  }

  signs(placed) {
    const without = run.state.rows.length - placed;
    const count = `${without} row${without === 1 ? " has" : "s have"} no place.`;
    return `▲ defect, ■ landmark, ▬ pipe, ◆ water, ● note, ○ event, ? asks. The bar under a mark is where it may be. ${without ? count : ""}`;
  }

  strip(leg, waiting, units) {
    const width = Math.max(260, this.width);
    const x = (distance) => MARGIN + (distance / leg.far) * (width - 2 * MARGIN);
    const svg = draw("svg", { width, height: HEIGHT, "aria-hidden": "true" });
    const bore = TOP + BORE;
    svg.append(draw("rect", { class: "bore", x: x(0), y: TOP, width: x(leg.far) - x(0), height: BORE }));
    for (const row of leg.rows) {
      if (row.end_distance == null) continue;
      const long = Math.max(3, x(row.end_distance) - x(row.distance));
      svg.append(draw("rect", { class: "stretch", x: x(row.distance), y: TOP + BORE / 2, width: long, height: BORE / 2 - 1 }));
    }
    svg.append(draw("path", { class: "wall", d: `M${x(0)} ${TOP}H${x(leg.far)}M${x(0)} ${bore}H${x(leg.far)}` }));
    const step = [1, 2, 5, 10, 20, 25, 50, 100, 200, 500].find((one) => x(one) - x(0) > 44) ?? 1000;
    for (let at = 0; at <= leg.far; at += step) {
      svg.append(draw("path", { class: "tick", d: `M${x(at)} ${bore}v6` }));
      const text = draw("text", { x: x(at), y: bore + 19, "text-anchor": "middle" });
      text.textContent = at === 0 ? `0 ${units}` : String(at);
      svg.append(text);
    }
    const box = el("div", { class: "leg" }, svg);
    leg.x = x;
    leg.needle = el("div", { class: "camera", hidden: true });
    const taken = Array(LEVELS).fill(-Infinity);
    for (const row of leg.rows) {
      // The lowest level that is free here, else the one that is free soonest.
      const at = x(row.distance);
      let level = taken.findIndex((end) => end <= at - MARK / 2);
      if (level < 0) level = taken.indexOf(Math.min(...taken));
      const left = Math.min(width - MARK, Math.max(at - MARK / 2, taken[level]));
      taken[level] = left + MARK + 2;
      const top = TOP - 8 - MARK - level * MARK;
      svg.append(draw("path", { class: "stem", d: `M${left + MARK / 2} ${top + MARK}L${at} ${TOP}` }));
      if (row.distance_low != null) {
        const low = x(row.distance_low);
        const high = Math.max(low + 2, x(row.distance_high));
        svg.append(draw("path", { class: "maybe", "data-row": row.id, d: `M${low} ${TOP + 3}v6M${high} ${TOP + 3}v6M${low} ${TOP + 6}H${high}` }));
      }
      const asks = waiting.has(row.id);
      const named = row.row ? `row ${row.row}` : "worked out";
      const button = el(
        "button",
        {
          type: "button",
          class: `mark ${row.kind ?? "note"}${asks ? " asks" : ""}`,
          "data-row": row.id,
          tabindex: "-1",
          title: `${label(row)}, ${place(row, units)}`,
          "aria-label": `${named}: ${label(row)}, ${place(row, units)}${asks ? ", asks for a look" : ""}`,
          onclick: () => this.goRow(row.id),
        },
        el("span", { class: "shape", "aria-hidden": "true" }, SHAPES[row.kind] ?? "●"),
        `${row.row ?? "~"}${asks ? "?" : ""}`,
      );
      button.style.left = `${left}px`;
      button.style.top = `${top}px`;
      box.append(button);
    }
    box.append(leg.needle);
    svg.addEventListener("click", (event) => {
      const inside = event.clientX - svg.getBoundingClientRect().left;
      const distance = ((inside - MARGIN) / (width - 2 * MARGIN)) * leg.far;
      this.goPlace(leg.leg, Math.min(leg.far, Math.max(0, distance)));
    });
    if (this.legs.length > 1) box.prepend(el("h3", { class: "small" }, `From zero number ${leg.leg}`));
    return box;
  }

  // Make a row the one that is looked at.
  mark(id) {
    this.current = id;
    const marks = [...this.host.querySelectorAll("button")];
    for (const mark of marks) {
      const here = mark.dataset.row === id;
      mark.tabIndex = here ? 0 : -1;
      if (here) mark.setAttribute("aria-current", "true");
      else mark.removeAttribute("aria-current");
    }
    if (marks.length && !marks.some((mark) => mark.tabIndex === 0)) marks[0].tabIndex = 0;
    for (const bar of this.host.querySelectorAll(".maybe")) bar.classList.toggle("here", bar.dataset.row === id);
  }

  moved(time) {
    this.at = time;
    const at = placeAt(time);
    for (const leg of this.legs) {
      const here = at !== null && at.leg === leg.leg && at.distance !== null;
      leg.needle.hidden = !here;
      if (!here) continue;
      leg.needle.style.left = `${leg.x(at.distance)}px`;
      leg.needle.dataset.at = `${figure(at.distance)} at ${clock(time)}`;
    }
  }
}
