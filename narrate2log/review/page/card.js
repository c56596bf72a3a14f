// The one thing that is looked at: what it is, why it asks, what was heard, and the answers to it.

import { el, figure, place, STANDINGS } from "./dom.js";
import { derivedOf, label, rowOf, run } from "./run.js";

// Under which key, for which things, and what it says. The first group settles, the second listens.
export const ANSWERS = [
  { key: "e", does: "typeOver", says: "Type over", of: ["row", "offer"] },
  { key: "m", does: "move", says: "Move", of: ["row"] },
  { key: "x", does: "drop", says: "Not a finding", of: ["row", "derived"] },
  { key: "j", does: "join", says: "Same as another", of: ["row"] },
  { key: "p", does: "part", says: "Two in one", of: ["row"] },
  { key: "f", does: "still", says: "Keep this picture", of: ["row"], pictures: true },
];
export const LISTENING = [
  { key: " ", shown: "space", does: "again", says: "Again" },
  { key: "s", does: "slower", says: "Slower" },
  { key: "w", does: "wider", says: "Wider" },
];
export const WALKING = [
  { key: "b", does: "back", says: "Back" },
  { key: "n", does: "next", says: "Next" },
];
const STANDS = { row: "Stands as read", offer: "Leave it as heard", derived: "Stands", gone: "Let it go" };
const KINDS = { offer: "Words that may be mis-heard", derived: "Worked out from the tilt", gone: "Answered before, its row is gone" };

export function button(entry, act) {
  return el(
    "button",
    { type: "button", "data-does": entry.does, onclick: () => act[entry.does]() },
    `${entry.says} `,
    el("kbd", {}, entry.shown ?? entry.key),
  );
}

// What an item is. spot: {at, of} in the queue, or null for a row that asks for nothing.
export function card(item, spot, act) {
  const row = item.of === "derived" ? derivedOf(item.id) : rowOf(item.id);
  const where = spot ? `${spot.at} of ${spot.of} that ask` : settledAs(row);
  return [
    el("p", { class: "spot" }, el("strong", {}, KINDS[item.of] ?? label(row)), ` · ${where}`),
    el("h2", { id: "title", tabindex: "-1" }, item.title),
    row && item.of === "row" ? facts(row) : null,
    why(item),
    ...heard(item, act),
  ].filter(Boolean);
}

function settledAs(row) {
  const { state, by } = row?.review ?? {};
  if (state === "stands") return `stands, said ${by}`;
  if (state === "changed") return `changed by ${by}`;
  if (state === "added") return `added by ${by}`;
  return "asks for nothing";
}

function facts(row) {
  const { units } = run.state;
  const told = [STANDINGS[row.standing] ?? row.standing, place(row, units)];
  if (row.distance_low != null) told.push(`between ${figure(row.distance_low)} and ${figure(row.distance_high)}`);
  if (run.state.legs.length > 1) told.push(`from zero number ${row.leg}`);
  if (row.review.still !== null) told.push("picture kept");
  return el("p", { class: "facts" }, told.join(" · "));
}

function why(item) {
  if (!item.why.length) return null;
  return el("ul", { class: "why", "aria-label": "Why it asks" }, ...item.why.map((reason) => el("li", {}, reason)));
}

function heard(item, act) {
  const told = [];
  if (item.words) {
    const line = el("p", { class: "heard" }, el("span", { class: "tag" }, "heard "));
    const doubtful = new Set(item.doubtful);
    for (let at = item.words[0]; at <= item.words[1]; at += 1) {
      const unsure = doubtful.has(at);
      const word = run.words[at];
      const sure = unsure ? `${Math.round(word.probability * 100)} % sure` : null;
      line.append(
        el(
          "span",
          { class: unsure ? "word doubt" : "word", title: sure, onclick: () => act.hear(word.start) },
          word.text,
          unsure ? el("sup", {}, "?", el("span", { class: "unseen" }, ` (${sure})`)) : null,
        ),
        " ",
      );
    }
    told.push(line);
  } else if (item.heard) {
    told.push(el("p", { class: "heard" }, el("span", { class: "tag" }, "heard "), item.heard));
  }
  if (item.read_as && item.read_as !== item.heard) {
    told.push(el("p", { class: "heard" }, el("span", { class: "tag" }, "read as "), ...differences(item.heard, item.read_as)));
  }
  return told;
}

// The words read, those that were not heard so in a mark of their own.
function differences(from, to) {
  const was = new Set(from.toLowerCase().split(/\s+/));
  return to.split(/\s+/).flatMap((word) => [was.has(word.toLowerCase()) ? word : el("ins", {}, word), " "]);
}

// How an item can be settled.
export function answers(item, act) {
  const pictures = run.sources.some((source) => source.picture);
  const more = ANSWERS.filter((one) => one.of.includes(item.of) && (!one.pictures || pictures));
  return [
    el(
      "ol",
      { class: "main", "aria-label": "Answers" },
      el(
        "li",
        {},
        el("button", { type: "button", class: "stands", onclick: () => act.stands() }, el("kbd", {}, "Enter"), el("span", {}, STANDS[item.of])),
      ),
      ...item.choices.map((choice, at) =>
        el(
          "li",
          {},
          el(
            "button",
            { type: "button", class: "choice", onclick: () => act.choose(at) },
            el("kbd", {}, String(at + 1)),
            el("span", {}, choice.label, choice.why && !item.why.includes(choice.why) ? el("small", {}, ` ${choice.why}`) : null),
          ),
        ),
      ),
    ),
    el("div", { class: "more" }, ...more.map((one) => button(one, act)), walking(act)),
  ];
}

export const walking = (act) => el("span", { class: "walk" }, ...WALKING.map((one) => button(one, act)));

// A question that must have its answer before the next thing comes.
export function question(lesson) {
  const asking = ({ heard, read_as }) =>
    read_as === null ? `Is “${heard}” always to be left as heard?` : `Is “${heard}” always to be read as “${read_as}”?`;
  return [
    el("p", { class: "spot" }, el("strong", {}, "Kept. One question"), " · asked once"),
    el("h2", { id: "title", tabindex: "-1" }, asking(lesson)),
    el("p", {}, "If so, your own lexicon learns it, and no run asks about it again."),
  ];
}

export function yesOrNo(act) {
  const choice = (key, says, yes) =>
    el("li", {}, el("button", { type: "button", class: "choice", onclick: () => act.always(yes) }, el("kbd", {}, key), el("span", {}, says)));
  return [el("ol", { class: "main", "aria-label": "Answers" }, choice("y", "Yes, always", true), choice("n", "No, only here", false))];
}

// Nothing asks any more.
export function done(written) {
  const { unseen, decisions } = run.state.review;
  return [
    el("p", { class: "spot" }, el("strong", {}, "Done")),
    el("h2", { id: "title", tabindex: "-1" }, "Nothing asks for a look any more."),
    el("p", {}, `${decisions} answer${decisions === 1 ? "" : "s"} kept. ${unseen ? `${unseen} row${unseen === 1 ? " that asks for nothing was" : "s that ask for nothing were"} not looked at; Next goes through them.` : "Every row was looked at."}`),
    el("p", { class: "note" }, written ? `The log is written: ${written}` : "The log is not written yet."),
  ];
}
