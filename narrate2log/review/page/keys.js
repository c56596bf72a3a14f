// One key, one answer; and the list of them that can be read.

import { el } from "./dom.js";
import { ANSWERS, LISTENING, WALKING } from "./card.js";

const OTHERS = [
  { key: "u", does: "undo", says: "Undo, without end" },
  { key: "U", does: "redo", says: "Redo" },
  { key: "a", does: "add", says: "Make a row of the selected words" },
  { key: "q", does: "finish", says: "Write the log now" },
  { key: "?", does: "help", says: "Show or hide these keys" },
];
const TYPING = "input:not([type=checkbox]), textarea, select, [contenteditable]";
const TAKES_ENTER = "button, a, input, summary, [role=region][tabindex], [role=slider]";

export const keys = { on: true };

// mode(): "item", "typing", "question" or "done".
export function listen(act, mode) {
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing || event.defaultPrevented) return;
    if (event.target.matches?.(TYPING)) return;
    const does = meaning(event, mode());
    if (!does) return;
    event.preventDefault();
    does(act);
  });
}

function meaning(event, mode) {
  const { key, target } = event;
  if (key === "Escape" && mode === "typing") return (act) => act.cancel();
  if (mode === "typing") return null;
  if (key === "Enter" || key === " ") {
    if (target.matches?.("button, a, input, summary")) return null;
    if (key === "Enter" && target.matches?.(TAKES_ENTER)) return null;
  }
  // Held down, a key answers once; Enter must not run through the queue.
  if (event.repeat && key !== "u" && key !== "U") return null;
  if (key === "?") return (act) => act.help();
  if (!keys.on && key !== "Enter" && key !== " ") return null;
  if (mode === "question") {
    if (key === "y") return (act) => act.always(true);
    if (key === "n") return (act) => act.always(false);
    return null;
  }
  if (key === "Enter" && mode === "item") return (act) => act.stands();
  if (/^[1-4]$/.test(key) && mode === "item") return (act) => act.choose(Number(key) - 1);
  const found = [...ANSWERS, ...LISTENING, ...WALKING, ...OTHERS].find((one) => one.key === key);
  if (!found || (mode !== "item" && ANSWERS.includes(found))) return null;
  return (act) => act[found.does]();
}

export function helpOf(act) {
  const box = el("input", { type: "checkbox", checked: keys.on, onchange: (event) => (keys.on = event.target.checked) });
  const list = [
    ["Enter", "Stands as read"],
    ["1 to 4", "Take that answer"],
    ...[...ANSWERS, ...LISTENING, ...WALKING, ...OTHERS].map((one) => [one.shown ?? one.key, one.says]),
    ["Esc", "Leave what is being typed"],
    ["← →", "In the wave: a second; along the pipe: the next mark; in the words: the next word (with Shift: select)"],
  ];
  return [
    el("h2", { id: "keys-name", class: "small" }, "Keys"),
    el("dl", {}, ...list.map(([key, says]) => el("div", {}, el("dt", {}, el("kbd", {}, key)), el("dd", {}, says)))),
    el("label", { class: "tick" }, box, " A letter alone answers (turn this off if you dictate to the browser)"),
    el("button", { type: "button", onclick: () => act.help() }, "Close"),
  ];
}
