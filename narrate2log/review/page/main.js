// Brings the parts of the page together: what is looked at, what is heard, what is answered.

import { byId, clock, el, place } from "./dom.js";
import { answers, button, card, done, LISTENING, question, walking, yesOrNo } from "./card.js";
import { moveAlong, newRow, sameAs, twoThings, typeOver } from "./forms.js";
import { helpOf, listen } from "./keys.js";
import { ask, Outbox, Refused } from "./outbox.js";
import { Pipe } from "./pipe.js";
import { Rows } from "./rows.js";
import { itemById, itemOf, label, placeAt, queue, rowOf, run, take, tellings, timeAt, wordAt } from "./run.js";
import { Said } from "./said.js";
import { Deck } from "./sound.js";
import { Wave } from "./wave.js";

// Heard before and after the words; and how much more each "wider" gives, in seconds.
const AROUND_S = 1;
const WIDER_S = 2;
const LOOK_MS = 2000;
const SOURCES_MS = 400;

let item = null; // what is looked at, null when nothing asks
let asked = null; // id of the last thing of the queue, to come back to
let wider = 0;
let lesson = null; // {heard, read_as, row}: asked whether always
let typing = null; // the open form
let scrolled = null; // how far the page was before a form moved it
let written = "";
let stopped = "";

const outbox = new Outbox(() => showKept());
const tell = (sentence) => (byId("told").textContent = sentence);
const trouble = (sentence) => (byId("trouble").textContent = sentence);

// --- what is looked at ---------------------------------------------------------------------------

function go(next, { play = null, silent = false, focus = true } = {}) {
  item = next;
  wider = 0;
  typing = null;
  lesson = null;
  if (item && play) item = { ...item, play };
  if (item && queue().some((one) => one.id === item.id)) asked = item.id;
  showCard(focus);
  pipe.mark(item?.id ?? null);
  rows.mark(item?.id ?? null);
  said.here(item?.words ?? null, true);
  showWave();
  if (item?.play && !silent) hear();
  else deck.stop();
  const after = following(item);
  if (after?.play) deck.prepare(span(after, 0)[0]);
}

const goId = (id, how) => {
  const found = itemById(id);
  if (found) go(found, how);
};

// What comes after an item in the queue, by itself.
function following(from) {
  const all = queue();
  if (!from) return all[0] ?? null;
  const at = all.findIndex((one) => one.id === from.id);
  if (at < 0) return all.find((one) => one.id === asked) ?? all[0] ?? unseen(from);
  return all.length > 1 ? all[(at + 1) % all.length] : null;
}

// With nothing left that asks, "next" walks through the rows that nobody looked at.
function unseen(from) {
  const all = run.state.rows;
  const at = all.findIndex((row) => row.id === from?.id);
  const found = [...all.slice(at + 1), ...all.slice(0, Math.max(0, at))].find((row) => row.review.state === "unseen");
  return found ? itemOf(found) : null;
}

function walk(step) {
  const all = queue();
  if (!all.length) {
    if (step > 0) return go(unseen(item));
    const at = run.state.rows.findIndex((row) => row.id === item?.id);
    const before = run.state.rows.at(at < 0 ? -1 : at - 1);
    return go(before ? itemOf(before) : null);
  }
  const at = all.findIndex((one) => one.id === (item?.id ?? asked));
  if (at < 0) return go(all.find((one) => one.id === asked) ?? all[0]);
  return go(all[(at + step + all.length) % all.length]);
}

function span(one, more) {
  const [from, to] = one.play;
  return [Math.max(0, from - AROUND_S - more), to + AROUND_S + more];
}

function hear() {
  if (!item?.play) return;
  deck.play(...span(item, wider));
}

function showWave() {
  if (!item?.play) return;
  const [from, to] = span(item, wider);
  wave.show(from, to, item.play);
  moved(from);
}

// A moment is gone to: it sounds on from there, and everything that knows of time follows.
function goTime(time, { quiet = false } = {}) {
  const [from, to] = [wave.from, wave.to];
  if (time < from || time > to) wave.show(Math.max(0, time - 3), time + 7, item?.play ?? null);
  moved(time);
  said.point(Math.max(0, wordAt(time)));
  if (!quiet) deck.play(time, null);
}

function goWord(word, id) {
  if (id) goId(id, { play: telling(id, word) });
  else {
    goTime(run.words[word].start);
    const at = placeAt(run.words[word].start);
    tell(`${clock(run.words[word].start)}: no row${at?.distance != null ? `, the camera was at ${place({ distance: at.distance }, run.state.units)}` : ""}.`);
  }
}

// The stretch of the telling of a row that a word is in.
function telling(id, word) {
  const found = tellings(rowOf(id)).find(([first, last]) => word >= first && word <= last);
  return found ? [run.words[found[0]].start, run.words[found[1]].end] : null;
}

function goPlace(leg, distance) {
  const time = timeAt(leg, distance);
  if (time === null) tell("Nobody knows when the camera was there.");
  else {
    goTime(time);
    tell(`${clock(time)}: the camera was at ${place({ distance }, run.state.units)}.`);
  }
}

function moved(time) {
  wave.moved(time);
  said.moved(time);
  pipe.moved(time);
}

// --- what is answered ----------------------------------------------------------------------------

// May the answer bring a question, or other things to look at? Then the next waits for it.
const brings = (kind, after) => kind === "changed" || kind === "added" || kind === "parted" || "lesson" in after || kind === "taught";

function settle(kind, row, after, what) {
  const from = item;
  const next = following(from);
  const inQueue = from !== null && run.state.queue.some((one) => one.id === from.id);
  const stays = kind === "still" || (kind === "added" && row === null);
  const later = brings(kind, after);
  if (inQueue && !stays) run.away.add(from.id);
  const onward = () => {
    if (stays) go(itemById(from?.id) ?? following(null), { silent: true });
    else go(next && next.id !== from?.id ? (itemById(next.id) ?? following(null)) : following(null));
  };
  outbox.put({
    path: "decide",
    told: { kind, row, after, revision: run.state.revision },
    what,
    kept(answer) {
      run.away.delete(from?.id);
      take(answer.state);
      tell(`Kept: ${what}. ${left()}`);
      trouble("");
      if (answer.always) {
        lesson = { ...answer.always, row: answer.row, onward };
        deck.stop();
        showCard();
      } else if (later) onward();
      showAll();
    },
    refused(error) {
      run.away.delete(from?.id);
      refused(error);
      if (from) goId(from.id, { silent: true });
      else showCard();
      showAll();
    },
  });
  if (!later) onward();
  else if (typing) {
    typing = null;
    showCard();
  }
  showCount();
}

function refused(error) {
  if (error.told?.state) take(error.told.state);
  trouble(error.message);
}

function back(path, how) {
  outbox.put({
    path,
    told: {},
    late: () => run.state.revision,
    what: how,
    kept(answer) {
      take(answer.state);
      tell(`${how}. ${left()}`);
      trouble("");
      showAll();
      goId(answer.row, { silent: true });
      if (item === null || item.id !== answer.row) go(following(null), { silent: true });
    },
    refused(error) {
      refused(error);
      showAll();
    },
  });
}

function open(made) {
  deck.stop();
  scrolled ??= scrollY;
  typing = made;
  byId("answers").replaceChildren(made);
  const first = made.querySelector("textarea, input, select");
  first?.focus({ preventScroll: true });
  if (first?.select) first.select();
  made.scrollIntoView({ block: "nearest" });
}

const cancel = () => {
  typing = null;
  showCard();
};

const act = {
  stands: () => item && settle("stands", item.id, {}, `${short(item)} ${item.of === "offer" ? "left as heard" : item.of === "gone" ? "let go" : "stands"}`),
  choose(at) {
    const choice = item?.choices[at];
    if (choice) settle(choice.kind, choice.row, choice.after, `${short(item)}: ${choice.label}`);
  },
  typeOver() {
    const row = rowOf(item?.id);
    const how = { cancel, send: (after) => settle("changed", row.id, after, `${short(item)} typed over`) };
    if (row) open(typeOver(row, how));
    else if (item?.of === "offer" && item.words) addFrom(item.words, item.id);
  },
  drop: () => ["row", "derived"].includes(item?.of) && settle("dropped", item.id, {}, `${short(item)} is not a finding`),
  move() {
    const row = rowOf(item?.id);
    if (row) open(moveAlong(row, { cancel, send: (after) => settle("moved", row.id, after, `${short(item)} moved`) }));
  },
  join() {
    const row = rowOf(item?.id);
    if (row) open(sameAs(row, { cancel, send: (after) => settle("joined", row.id, after, `${short(item)} made one with another row`) }));
  },
  part() {
    const row = rowOf(item?.id);
    if (row) open(twoThings(row, { cancel, send: (after) => settle("parted", row.id, after, `${short(item)} parted in two`) }));
  },
  still() {
    const row = rowOf(item?.id);
    if (!row || !run.sources[deck.front.source]?.picture) return;
    const time = Math.round(deck.time * 1000) / 1000;
    deck.stop();
    settle("still", row.id, { still: time }, `the picture at ${clock(time)} for ${short(item)}`);
  },
  again() {
    if (deck.playing) deck.stop();
    else if (item?.play) {
      showWave();
      hear();
    }
  },
  slower: () => tell(`Plays at ${deck.slower() * 100} % of its pace.`),
  wider() {
    if (!item?.play) return;
    wider += WIDER_S;
    showWave();
    hear();
  },
  next: () => walk(1),
  back: () => walk(-1),
  undo: () => back("undo", "Undone"),
  redo: () => back("redo", "Redone"),
  add: () => said.picked && addFrom(said.picked, null),
  hear: (time) => goTime(time),
  always(yes) {
    const { heard, read_as, row, onward } = lesson;
    const meaning = read_as === null ? `“${heard}” is always left as heard` : `“${heard}” is always “${read_as}”`;
    lesson = null;
    if (!yes) return onward();
    outbox.put({
      path: "decide",
      told: { kind: "taught", row, after: { heard, read_as }, revision: run.state.revision },
      what: meaning,
      kept(answer) {
        take(answer.state);
        tell(`Learned: ${meaning}. ${left()}`);
        showAll();
        onward();
      },
      refused(error) {
        refused(error);
        onward();
      },
    });
    return undefined;
  },
  cancel,
  async finish() {
    try {
      written = (await ask("log", {})).written;
      tell(`The log is written: ${written}`);
    } catch (error) {
      trouble(error.message);
    }
    if (!item) showCard();
  },
  help() {
    const box = byId("keys");
    box.hidden = !box.hidden;
    byId("help").setAttribute("aria-expanded", String(!box.hidden));
    if (!box.hidden) {
      box.replaceChildren(...helpOf(act));
      box.querySelector("button").focus();
      box.scrollIntoView({ block: "nearest" });
    } else byId("help").focus();
  },
};

async function addFrom([first, last], id) {
  let suggested;
  try {
    suggested = await ask("suggest", { first, last });
  } catch (error) {
    trouble(error.message);
    return;
  }
  const send = (after) => {
    said.pick(null);
    getSelection().removeAllRanges();
    settle("added", id, after, `${run.features[after.feature].label} added`);
  };
  open(newRow(suggested, { cancel, send }));
}

function short(one) {
  const row = rowOf(one.id);
  return row ? `${label(row)}${row.distance === null ? "" : ` at ${place(row, run.state.units)}`}` : one.title.replace(/\.$/, "");
}

const left = () => {
  const count = queue().length;
  return count ? `${count} left.` : "Nothing asks any more.";
};

// --- what is shown -------------------------------------------------------------------------------

function showCard(focus = true) {
  const all = queue();
  const at = all.findIndex((one) => one.id === item?.id);
  const [told, answered] = lesson
    ? [question(lesson), yesOrNo(act)]
    : item
      ? [card(item, at < 0 ? null : { at: at + 1, of: all.length }, act), answers(item, act)]
      : [done(written), [el("div", { class: "more" }, walking(act))]];
  byId("card").replaceChildren(...told);
  byId("answers").replaceChildren(...answered);
  byId("listen").hidden = !item?.play || lesson !== null;
  if (!focus) return;
  if (scrolled !== null) scrollTo(0, scrolled);
  scrolled = null;
  const title = byId("title");
  title.focus({ preventScroll: true });
  const { top } = title.getBoundingClientRect();
  if (top < 0 || top > innerHeight * 0.8) byId("now").scrollIntoView({ block: "start" });
}

function showCount() {
  const count = queue().length;
  byId("left").textContent = count ? `${count} ask${count === 1 ? "s" : ""} for a look` : "nothing asks for a look";
  document.title = `${count ? `(${count}) ` : ""}${byId("run").textContent} review`;
}

function showKept() {
  const box = byId("kept");
  const count = outbox.waiting.length;
  const why = outbox.trouble || stopped;
  if (!count) {
    box.textContent = stopped ? `All kept. ${stopped}` : "All kept";
    box.dataset.is = stopped ? "ill" : "well";
  } else if (!outbox.trouble) {
    box.textContent = `Keeping ${count}…`;
    box.dataset.is = "busy";
  } else {
    const what = outbox.waiting.map((entry) => entry.what).join("; ");
    box.textContent = `✗ Not kept yet: ${what}. ${why} Trying again; do not close this page.`;
    box.dataset.is = "ill";
  }
}

function showAll() {
  pipe.render();
  pipe.mark(item?.id ?? null);
  showRest();
  showCount();
  byId("undo").disabled = !run.state.can_undo;
  byId("redo").disabled = !run.state.can_redo;
  const after = following(item);
  if (after?.play) deck.prepare(span(after, 0)[0]);
  if (run.state.review.complete && !run.state.queue.length && run.state.review.decisions && !writing) writeSoon();
}

// What is long comes after what is looked at and heard.
let resting = null;
function showRest() {
  resting ??= setTimeout(() => {
    resting = null;
    if (!said.spans.length) said.build();
    rows.render();
    said.render();
    document.documentElement.dataset.whole = "yes";
  });
}

// The log is made as soon as nothing asks, and made anew after each later answer.
let writing = null;
function writeSoon() {
  writing = setTimeout(() => {
    writing = null;
    if (outbox.waiting.length) return writeSoon();
    return act.finish();
  }, 300);
}

function showProblems() {
  const { problems, cautions } = run.state;
  const first = cautions.filter((one) => one.first).map((one) => `${one.text} Defer to ${one.defer_to}.`);
  const told = [...first.map((text) => el("strong", {}, `Caution: ${text}`)), ...problems.map((text) => el("span", {}, text))];
  byId("cautions")?.remove();
  if (told.length) byId("told").before(el("div", { id: "cautions", role: "note", "aria-label": "Mind this" }, ...told.map((one) => el("p", {}, one))));
}

// --- where the recordings are --------------------------------------------------------------------

async function lookForSources() {
  let told;
  try {
    told = await ask("sources");
  } catch {
    setTimeout(lookForSources, LOOK_MS);
    return;
  }
  const was = run.sources;
  run.sources = told.sources.map((source, at) => ({ ...source, unplayable: was[at]?.unplayable ?? false }));
  const playable = (all) => JSON.stringify(all.map((one) => [one.where, one.copy, one.unplayable]));
  showSources();
  if (playable(was) !== playable(run.sources)) {
    const after = following(item);
    if (deck.playing) deck.goOn();
    else if (item?.play && !typing) hear();
    if (after?.play) deck.prepare(span(after, 0)[0]);
  }
  wave.load();
  const peaks = run.sources.some((one) => one.where === "here" && !one.peaks && !one.problem);
  if (!told.settled || peaks) setTimeout(lookForSources, SOURCES_MS);
}

function showSources() {
  const notes = [];
  const forms = [];
  run.sources.forEach((source, at) => {
    if (source.where === "looking") notes.push(`Looking for ${source.file}…`);
    if (source.where === "text") notes.push(`${source.file} is timed text: there is nothing to hear, all else works.`);
    if (source.problem) notes.push(source.problem);
    else if (source.where === "here" && !source.peaks) notes.push(`The wave of ${source.file} is being worked out.`);
    const made = `${Math.round(source.made * 100)} %`;
    if (source.making && source.copy === "none") notes.push(`This browser cannot play ${source.file}; a copy that it can play is being made, the sound first.`);
    if (source.making && source.copy === "sound") notes.push(`The sound is ready; the copy of the picture is being made (${made}).`);
    if (source.where === "missing") forms.push(whereForm(source, at));
  });
  if (run.sources.length && run.sources.every((source) => source.where === "text")) byId("wave").hidden = true;
  byId("sound-note").textContent = notes.join(" ");
  const key = run.sources.map((source) => source.where).join();
  if (byId("where").dataset.of !== key) {
    byId("where").dataset.of = key;
    byId("where").replaceChildren(...forms);
  }
}

function whereForm(source, at) {
  const path = el("input", { type: "text", id: `where-${at}`, autocomplete: "off", spellcheck: "false" });
  const wrong = el("p", { class: "wrong", role: "alert" });
  return el(
    "form",
    {
      class: "type",
      onsubmit: async (event) => {
        event.preventDefault();
        wrong.textContent = "";
        try {
          await ask("where", { source: at, path: path.value });
          lookForSources();
        } catch (error) {
          wrong.textContent = error.message;
        }
      },
    },
    el("label", { for: path.id }, `Where is ${source.file} now? Give its path, or the folder it lies in.`),
    path,
    wrong,
    el("button", { type: "submit" }, "Look there"),
  );
}

// --- what happens elsewhere ----------------------------------------------------------------------

async function look() {
  if (!outbox.waiting.length && document.visibilityState === "visible") {
    const revision = run.state.revision;
    try {
      const state = await ask(`state?seen=${revision}`);
      stopped = "";
      if (state && !outbox.waiting.length && run.state.revision === revision) {
        take(state);
        tell(`Something was settled in another window. ${left()}`);
        showAll();
        if (item && !itemById(item.id)) go(following(null), { silent: true });
        else if (!typing && !lesson) {
          item = item && { ...(itemById(item.id) ?? item), play: item.play };
          if (!item && queue().length) go(following(null), { silent: true });
          else showCard(false);
        }
      }
    } catch (error) {
      stopped = error instanceof Refused ? error.message : `${error.message} If it was ended, start it again and open its new address.`;
    }
    showKept();
  }
  setTimeout(look, LOOK_MS);
}

// --- the beginning -------------------------------------------------------------------------------

const wave = new Wave(byId("wave"), (time) => goTime(time));
const deck = new Deck(byId("picture"), {
  moved,
  told: (text) => (byId("sound-note").dataset.wait = text),
  ended: () => {},
});
deck.changed = lookForSources;
const pipe = new Pipe(byId("legs"), byId("legend"), { goRow: (id) => goId(id), goPlace });
const rows = new Rows(byId("table"), (id) => goId(id));
const said = new Said(byId("text"), {
  goWord,
  goRow: (id, first) => goId(id, { play: telling(id, first) }),
  chose: (range) => (byId("make-row").hidden = !range),
  tell,
});

byId("wave").after(el("div", { class: "more" }, ...LISTENING.map((one) => button(one, act))));
byId("make-row").addEventListener("click", act.add);
byId("undo").addEventListener("click", act.undo);
byId("redo").addEventListener("click", act.redo);
byId("finish").addEventListener("click", act.finish);
byId("help").addEventListener("click", act.help);
addEventListener("beforeunload", (event) => outbox.waiting.length && event.preventDefault());
document.addEventListener("visibilitychange", () => outbox.wake());
listen(act, () => (lesson ? "question" : typing ? "typing" : item ? "item" : "done"));

try {
  take(await ask("state"));
  byId("run").textContent = run.state.folder.split(/[\\/]/).filter(Boolean).at(-1) ?? "Review";
  run.sources = run.state.sources.map((source) => ({ ...source, where: "looking", unplayable: false }));
  showProblems();
  showAll();
  go(following(null), { silent: true });
  lookForSources();
  setTimeout(look, LOOK_MS);
  document.documentElement.dataset.ready = "yes";
} catch (error) {
  trouble(error.message);
}
