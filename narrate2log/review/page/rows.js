// The table of all rows as they stand now, and below it what was put aside.

import { clock, el, place, STANDINGS } from "./dom.js";
import { label, run } from "./run.js";

const SAID = {
  unseen: () => "– not looked at",
  stands: (by) => `✓ stands (${by})`,
  changed: (by) => `✎ changed (${by})`,
  added: (by) => `+ added (${by})`,
};

function stateOf(row, waiting) {
  if (waiting.has(row.id)) return "? asks for a look";
  const { state, by } = row.review;
  return (SAID[state] ?? (() => state))(by);
}

function changesOf(row) {
  const shown = (value) => (value === null || value === "" ? "nothing" : value);
  const changes = Object.entries(row.review.changes ?? {});
  if (!changes.length) return null;
  return el("small", {}, changes.map(([name, [was, now]]) => `${name.replaceAll("_", " ")}: ${shown(was)} → ${shown(now)}`).join("; "));
}

export class Rows {
  constructor(host, goRow) {
    Object.assign(this, { host, goRow, drawn: new Map(), current: null });
    host.addEventListener("click", (event) => {
      const row = event.target.closest("tr[data-row]");
      if (row && getSelection().isCollapsed) goRow(row.dataset.row);
    });
  }

  render() {
    const { rows, derived, dropped, derived_dropped: put, units } = run.state;
    const waiting = new Set(run.state.queue.map((item) => item.id));
    const head = ["No.", "What", "Where", "Remark", "How it stands"].map((name) => el("th", { scope: "col" }, name));
    const body = [...rows, ...derived].map((row) => this.line(row, waiting, units));
    const aside = [...dropped, ...put];
    this.host.replaceChildren(
      el("table", {}, el("thead", {}, el("tr", {}, ...head)), el("tbody", {}, ...body)),
      ...(aside.length
        ? [
            el("h3", { class: "small" }, "Put aside"),
            el("ul", { class: "aside" }, ...aside.map((row) => el("li", {}, el("s", {}, row.remark), ` ${row.review.state} (${row.review.by})`))),
          ]
        : []),
    );
    this.mark(this.current);
  }

  // The line of a row, the same one as long as nothing of it changed.
  line(row, waiting, units) {
    const key = JSON.stringify([row, waiting.has(row.id)]);
    const before = this.drawn.get(row.id);
    if (before?.key === key) return before.made;
    const made = el(
      "tr",
      { "data-row": row.id, class: waiting.has(row.id) ? "asks" : null },
      el("th", { scope: "row" }, el("button", { type: "button", "aria-label": `Go to row ${row.row ?? ""} ${label(row)}` }, String(row.row ?? "~"))),
      el("td", { class: "what" }, label(row), row.standing && row.standing !== "seen" ? el("small", {}, ` ${STANDINGS[row.standing] ?? row.standing}`) : null),
      el("td", { class: "place" }, place(row, units)),
      el("td", { class: "remark" }, row.remark, row.review.still != null ? el("small", {}, ` picture at ${clock(row.review.still)}`) : null, changesOf(row)),
      el("td", { class: "state" }, stateOf(row, waiting)),
    );
    this.drawn.set(row.id, { key, made });
    return made;
  }

  mark(id) {
    this.current = id;
    for (const row of this.host.querySelectorAll("tr[data-row]")) {
      if (row.dataset.row === id) row.setAttribute("aria-current", "true");
      else row.removeAttribute("aria-current");
    }
  }
}
