// The wave: the whole recording above, what is being listened to below it.

import { clock, el } from "./dom.js";
import { length, run } from "./run.js";

const WHOLE = 34;
const CLOSE = 96;
const BORDER = 1;

export class Wave {
  // go(time): someone pointed at a moment.
  constructor(host, go) {
    this.from = 0;
    this.to = 1;
    this.clip = null;
    this.peaks = new Map();
    this.asked = new Set();
    this.whole = this.strip(host, "whole", "The whole recording", WHOLE, () => [0, length()], go);
    this.close = this.strip(host, "close", "What is being heard", CLOSE, () => [this.from, this.to], go);
    new ResizeObserver(([{ contentRect }]) => {
      this.width = contentRect.width - 2 * BORDER;
      this.draw();
    }).observe(host);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.draw());
  }

  strip(host, kind, name, height, span, go) {
    const canvas = el("canvas", { "aria-hidden": "true" });
    const needle = el("div", { class: "needle" });
    const box = el(
      "div",
      { class: `wave ${kind}`, role: "slider", tabindex: "0", "aria-label": `${name}: moment`, "aria-valuemin": "0" },
      canvas,
      needle,
    );
    box.addEventListener("pointerdown", (event) => {
      const { left, width } = box.getBoundingClientRect();
      const [from, to] = span();
      go(from + ((event.clientX - left) / width) * (to - from));
    });
    box.addEventListener("keydown", (event) => {
      const step = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 }[event.key];
      if (step) {
        event.preventDefault();
        event.stopPropagation();
        go(Math.min(length(), Math.max(0, this.at + step)));
      }
    });
    host.append(box);
    return { box, canvas, needle, height, span };
  }

  // Show a stretch, with the part of it that is the item's marked.
  show(from, to, clip) {
    [this.from, this.to, this.clip] = [Math.max(0, from), to, clip];
    this.draw();
  }

  async load() {
    await Promise.all(
      run.sources.map(async (source, at) => {
        if (!source.peaks || this.asked.has(at)) return;
        this.asked.add(at);
        const answer = await fetch(`peaks/${at}`).catch(() => null);
        if (answer?.ok) this.peaks.set(at, new Uint8Array(await answer.arrayBuffer()));
        else this.asked.delete(at);
      }),
    );
    this.draw();
  }

  // The loudest between two moments, 0 to 1; null where nothing is known.
  loudest(from, to) {
    const at = run.sources.findLastIndex((source) => source.offset <= from);
    const peaks = this.peaks.get(Math.max(0, at));
    if (!peaks) return null;
    const { offset, peaks: rate } = run.sources[Math.max(0, at)];
    const first = Math.floor((from - offset) * rate);
    const last = Math.max(first + 1, Math.ceil((to - offset) * rate));
    let most = 0;
    for (let i = Math.max(0, first); i < last && i < peaks.length; i += 1) most = Math.max(most, peaks[i]);
    return most / 255;
  }

  draw() {
    const style = getComputedStyle(document.documentElement);
    const ink = style.getPropertyValue("--ink");
    const faint = style.getPropertyValue("--faint");
    const mark = style.getPropertyValue("--mark");
    // Asking the page for its width here would make it lay everything out anew, sixty times a second.
    const { width } = this;
    if (!(width > 0)) return;
    for (const { box, canvas, height, span } of [this.whole, this.close]) {
      const scale = devicePixelRatio || 1;
      canvas.width = width * scale;
      canvas.height = height * scale;
      const pen = canvas.getContext("2d");
      pen.scale(scale, scale);
      const [from, to] = span();
      const each = (to - from) / width || 1;
      if (this.clip) {
        pen.fillStyle = mark;
        const left = (this.clip[0] - from) / each;
        pen.fillRect(left, 0, Math.max(2, (this.clip[1] - this.clip[0]) / each), height);
      }
      for (let x = 0; x < width; x += 1) {
        const loud = this.loudest(from + x * each, from + (x + 1) * each);
        if (loud === null) continue;
        // Quiet speech is to be seen as well.
        const half = Math.max(0.5, Math.sqrt(loud) * (height / 2 - 2));
        pen.fillStyle = loud > 0.02 ? ink : faint;
        pen.fillRect(x, height / 2 - half, 1, half * 2);
      }
      box.setAttribute("aria-valuemax", String(Math.round(length())));
    }
    this.moved(this.at ?? this.from);
  }

  moved(time) {
    this.at = time;
    for (const { needle, span } of [this.whole, this.close]) {
      const [from, to] = span();
      const part = (time - from) / (to - from || 1);
      needle.hidden = part < 0 || part > 1;
      needle.style.transform = `translateX(${part * (this.width ?? 0)}px)`;
    }
    // A screen reader would read every step aloud.
    const second = String(Math.round(time));
    if (this.second !== second) {
      this.second = second;
      for (const { box } of [this.whole, this.close]) {
        box.setAttribute("aria-valuenow", second);
        box.setAttribute("aria-valuetext", clock(time));
      }
    }
  }
}
