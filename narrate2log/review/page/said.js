// The narration as running text. What became a row is underlined and numbered, what no rule took is there too.

import { clock, el } from "./dom.js";
import { label, run, tellings, wordAt } from "./run.js";

// A silence of so many seconds begins a new paragraph.
const PAUSE_S = 3;
const DOUBTFUL = 0.5;

export class Said {
  // goWord(word, row id or null); chose(first, last) or chose(null): words selected; tell(sentence).
  constructor(host, { goWord, goRow, chose, tell }) {
    Object.assign(this, { host, goWord, goRow, chose, tell, spans: [], shown: [], of: [], cursor: 0, picked: null });
    host.addEventListener("click", (event) => {
      const mark = event.target.closest("button[data-row]");
      if (mark) return this.goRow(mark.dataset.row, Number(mark.dataset.first));
      const word = event.target.closest("[data-w]");
      if (word && this.selected() === null) {
        this.pick(null);
        this.point(Number(word.dataset.w));
        this.goWord(this.cursor, this.of[this.cursor]?.at(-1) ?? null);
      }
      return undefined;
    });
    document.addEventListener("selectionchange", () => {
      const found = this.selected();
      if (found) this.pick(found);
    });
    host.addEventListener("keydown", (event) => this.key(event));
  }

  build() {
    let box = null;
    let before = -Infinity;
    this.spans = [];
    const paragraphs = [];
    run.words.forEach((word, at) => {
      if (box === null || word.start - before > PAUSE_S) {
        box = el("p", {}, el("span", { class: "when", "aria-hidden": "true" }, clock(word.start)));
        paragraphs.push(box);
      }
      const doubt = word.probability !== null && word.probability < DOUBTFUL;
      const span = el("span", { "data-w": at, class: doubt ? "doubt" : null }, word.text);
      this.spans.push(span);
      box.append(span, " ");
      before = word.end;
    });
    if (!paragraphs.length) paragraphs.push(el("p", {}, "The words of this draft are not at hand."));
    this.host.replaceChildren(...paragraphs);
    this.shown = this.spans.map(() => "");
  }

  // Mark what is a row by now.
  render() {
    const of = run.words.map(() => null);
    const ends = new Map();
    const waiting = new Set(run.state.queue.map((item) => item.id));
    for (const row of run.state.rows) {
      for (const [first, last] of tellings(row)) {
        for (let at = first; at <= last; at += 1) (of[at] ??= []).push(row.id);
        if (!ends.has(last)) ends.set(last, []);
        ends.get(last).push({ row, first });
      }
    }
    this.of = of;
    this.spans.forEach((span, at) => {
      const marks = ends.get(at) ?? [];
      const key = `${of[at] ? "in" : ""}|${marks.map(({ row }) => `${row.id}${row.row}${waiting.has(row.id)}`).join()}`;
      if (this.shown[at] === key) return;
      this.shown[at] = key;
      span.classList.toggle("in", of[at] !== null);
      while (span.nextElementSibling?.matches("button[data-row]")) span.nextElementSibling.remove();
      span.after(
        ...marks.map(({ row, first }) =>
          el(
            "button",
            {
              type: "button",
              tabindex: "-1",
              "data-row": row.id,
              "data-first": first,
              "aria-label": `row ${row.row}, ${label(row)}${waiting.has(row.id) ? ", asks for a look" : ""}`,
            },
            `${row.row}${waiting.has(row.id) ? "?" : ""}`,
          ),
        ),
      );
    });
    this.here(this.range);
  }

  // Frame the words of what is looked at, and bring them into view.
  here(range, scroll = false) {
    for (const span of this.host.querySelectorAll(".here")) span.classList.remove("here");
    this.scroll ||= scroll;
    this.range = range;
    if (!range || !this.spans.length) return;
    for (let at = range[0]; at <= range[1]; at += 1) this.spans[at].classList.add("here");
    if (this.scroll) this.into(range[0]);
    this.scroll = false;
  }

  // Within its own box only: the page does not jump.
  into(word) {
    const span = this.spans[word];
    if (!span || this.host.scrollHeight <= this.host.clientHeight) return;
    const off = span.getBoundingClientRect().top - this.host.getBoundingClientRect().top;
    if (off < 20 || off > this.host.clientHeight - 60) this.host.scrollTop += off - this.host.clientHeight / 3;
  }

  moved(time) {
    const at = wordAt(time);
    if (at === this.now) return;
    this.spans[this.now]?.classList.remove("now");
    this.spans[at]?.classList.add("now");
    this.now = at;
  }

  // --- pointing and selecting ---

  selected() {
    const selection = getSelection();
    if (!selection || selection.isCollapsed || !selection.rangeCount) return null;
    const range = selection.getRangeAt(0);
    if (!this.host.contains(range.commonAncestorContainer)) return null;
    const found = this.spans.reduce((all, span, at) => (range.intersectsNode(span) ? [all?.[0] ?? at, at] : all), null);
    return found;
  }

  pick(range) {
    if (this.picked) for (let at = this.picked[0]; at <= this.picked[1]; at += 1) this.spans[at]?.classList.remove("picked");
    this.picked = range;
    if (range) for (let at = range[0]; at <= range[1]; at += 1) this.spans[at].classList.add("picked");
    this.chose(range);
  }

  point(word) {
    this.spans[this.cursor]?.classList.remove("cursor");
    this.cursor = Math.min(this.spans.length - 1, Math.max(0, word));
    this.spans[this.cursor]?.classList.add("cursor");
    this.into(this.cursor);
  }

  key(event) {
    const step = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -12, ArrowDown: 12, Home: -1e9, End: 1e9 }[event.key];
    if (event.target !== this.host || !this.spans.length) return;
    if (step) {
      event.preventDefault();
      const from = event.shiftKey ? (this.anchor ??= this.cursor) : null;
      this.point(this.cursor + step);
      if (from === null) this.anchor = undefined;
      this.pick(from === null ? null : [Math.min(from, this.cursor), Math.max(from, this.cursor)]);
      const rows = (this.of[this.cursor] ?? []).map((id) => run.state.rows.find((row) => row.id === id)?.row);
      const text = this.picked
        ? run.words.slice(this.picked[0], this.picked[1] + 1).map((word) => word.text).join(" ")
        : run.words[this.cursor].text;
      this.tell(`${text}${rows.length ? `, row ${rows.join(" and ")}` : ""}`);
    } else if (event.key === "Enter") {
      event.preventDefault();
      event.stopPropagation();
      this.goWord(this.cursor, this.of[this.cursor]?.at(-1) ?? null);
    }
  }
}
