// The run under review: the program's state, and how its words, moments, places and rows belong together.

export const run = {
  state: null,
  words: [],
  course: [],
  features: {},
  materials: {},
  sources: [],
  // What is decided but not kept yet is out of the queue already.
  away: new Set(),
};

const LASTING = ["words", "course", "features", "materials"];
let starts = [];
let passed = [];

export function take(state) {
  for (const name of LASTING) if (state[name]) run[name] = state[name];
  if (state.words) starts = state.words.map((word) => word.start);
  if (state.course) passed = state.course.map((point) => point.time);
  run.state = state;
}

export const queue = () => run.state.queue.filter((item) => !run.away.has(item.id));
export const rowOf = (id) => run.state.rows.find((row) => row.id === id) ?? null;
export const derivedOf = (id) => run.state.derived.find((row) => row.id === id) ?? null;
export const label = (row) => run.features[row.feature]?.label ?? row.feature ?? "Nothing known";

// How many of the sorted values are not above x.
function upTo(values, x) {
  let [low, high] = [0, values.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (values[middle] <= x) low = middle + 1;
    else high = middle;
  }
  return low;
}

// The word that is said at a moment, or the last one before it; -1 before the first.
export const wordAt = (time) => upTo(starts, time + 0.001) - 1;

// The words that begin within a stretch of time: first and last, or null.
export function wordsBetween(from, to) {
  const first = upTo(starts, from - 0.002);
  const last = upTo(starts, to) - 1;
  return first <= last ? [first, last] : null;
}

export function phraseEnd(word) {
  const { phrase } = run.words[word];
  while (word + 1 < run.words.length && run.words[word + 1].phrase === phrase) word += 1;
  return word;
}

// First and last word of every telling of a row.
export function tellings(row) {
  const first = wordsBetween(row.time, row.time_end);
  const told = first ? [first] : [];
  for (const moment of row.sightings) {
    const begin = wordAt(moment);
    if (begin < 0 || (first && begin >= first[0] && begin <= first[1])) continue;
    told.push([begin, phraseEnd(begin)]);
  }
  return told;
}

// What the queue would say of a row that asks for nothing.
export function itemOf(row, of = "row") {
  const words = of === "row" ? wordsBetween(row.time, row.time_end) : null;
  if (words) {
    words[1] = Math.max(words[1], phraseEnd(words[0]));
    while (words[0] > 0 && run.words[words[0] - 1].phrase === run.words[words[0]].phrase) words[0] -= 1;
  }
  return {
    id: row.id,
    of,
    title: row.remark,
    why: row.check ?? [],
    play: words ? [run.words[words[0]].start, run.words[words[1]].end] : of === "row" ? [row.time, row.time_end] : null,
    words,
    doubtful: [],
    heard: row.heard ?? "",
    read_as: row.read_as ?? "",
    choices: [],
  };
}

export function itemById(id) {
  const asked = run.state.queue.find((item) => item.id === id);
  if (asked) return asked;
  const row = rowOf(id);
  if (row) return itemOf(row);
  const derived = derivedOf(id);
  return derived ? itemOf(derived, "derived") : null;
}

// Where the camera was at a moment: {leg, distance, low, high}, null where nobody knows.
export function placeAt(time) {
  return run.course[Math.max(0, upTo(passed, time) - 1)] ?? null;
}

// When the camera first came nearest to a place.
export function timeAt(leg, distance) {
  let best = null;
  for (const point of run.course) {
    if (point.leg !== leg || point.distance === null) continue;
    const off = Math.abs(point.distance - distance);
    if (best === null || off < best.off - 0.001) best = { off, time: point.time };
  }
  return best?.time ?? null;
}

export function length() {
  const last = run.sources.at(-1);
  return last ? last.offset + last.duration : 0;
}
