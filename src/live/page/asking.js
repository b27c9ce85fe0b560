// The order of questions: one at a time, the newest position first, the coarse before the full.
//
// While something moves, coarse answers follow one another, each for the newest position. When nothing has
// moved for a moment the slower questions are asked, in the order in which they were announced. A move stops them.

import { json } from "./ask.js";
import { at } from "./page.js";
import { state } from "./state.js";

const REST = 220; // milliseconds without a move before a slow question is asked
const AGAIN = 150; // milliseconds before one looks again whether the program is free

const kinds = [];
let wanted = 0; // number of the newest position
let movedAt = 0;
let busy = null; // { kind, abort, number }
let timer = 0;
let asides = 0; // questions outside the order that wait

// Announces a kind of question: its `name`; `ask(signal)` gives the answer; `take(found, number)` shows it;
// `fail(error, number)` says why there is none; `slow` when it waits for a rest and gives way to a move;
// `needed()` whether it is to be asked at all. Returns the kind; `kind.done` is the position it was last answered for.
export function announce(kind) {
  const known = { slow: true, needed: () => true, done: -1, ...kind };
  kinds.push(known);
  return known;
}

export const isNewest = (number) => number === wanted;
export const sinceMove = () => performance.now() - movedAt;
export const isBusyWith = (...names) => names.includes(busy?.kind.name);

// Something was moved: every answer is old.
export function touched() {
  wanted += 1;
  movedAt = performance.now();
  pump();
}

// The shown answers of these kinds are to be fetched anew, `first` at once.
export function again(first, ...others) {
  const kindsAgain = [first, ...others];
  for (const kind of kindsAgain) kind.done = Math.min(kind.done, wanted - 1);
  movedAt = performance.now();
  clearTimeout(timer);
  if (!busy) run(first);
  // What is under way answers the question as it was.
  else if (kindsAgain.includes(busy.kind)) busy.abort.abort();
}

// Asks for what is missing.
export function pump() {
  clearTimeout(timer);
  if (!state.ready || asides) return;
  if (busy) {
    // A quick answer is nearly there; what takes longer gives way.
    if (busy.kind.slow && busy.number !== wanted) busy.abort.abort();
    return;
  }
  const next = kinds.find((kind) => kind.done < wanted && kind.needed());
  if (!next) return;
  const rest = next.slow ? REST - sinceMove() : 0;
  if (rest > 0) timer = setTimeout(pump, rest);
  else run(next);
}

async function run(kind) {
  if (busy) return;
  const [number, abort] = [wanted, new AbortController()];
  busy = { kind, abort, number };
  document.body.dataset.busy = kind.name;
  if (kind.slow) follow(kind, abort.signal);
  try {
    const found = await kind.ask(abort.signal);
    kind.done = number;
    kind.take(found, number);
  } catch (error) {
    if (error.name !== "AbortError" && !error.superseded) {
      // The same question would fail again: it counts as answered.
      kind.done = number;
      kind.fail(error, number);
    }
  }
  rest();
}

function rest() {
  busy = null;
  document.body.dataset.busy = "";
  at("progress").hidden = true;
  pump();
}

// A question outside the order, before the slow ones; a move stops it, and then there is no answer.
export async function apart(name, ask) {
  asides += 1;
  if (busy?.kind.slow) busy.abort.abort();
  while (busy) await moment();
  asides -= 1;
  const [number, abort] = [wanted, new AbortController()];
  clearTimeout(timer);
  busy = { kind: { name, slow: true }, abort, number };
  document.body.dataset.busy = name;
  try {
    const found = await ask(abort.signal);
    return number === wanted ? found : null;
  } finally {
    rest();
  }
}

const moment = () => new Promise((resolve) => setTimeout(resolve, AGAIN));

// Waits until a kind of question has been answered for the newest position.
export async function answered(name) {
  const kind = kinds.find((one) => one.name === name);
  while (kind.done < wanted) await moment();
}

// Shows how far a slow answer is.
async function follow(kind, signal) {
  const bar = at("progress");
  bar.value = 0;
  bar.setAttribute("aria-label", `${kind.words ?? "Answer"} under way`);
  bar.hidden = false;
  while (busy?.kind === kind && !signal.aborted) {
    await new Promise((resolve) => setTimeout(resolve, 300));
    if (busy?.kind !== kind || signal.aborted) break;
    try { bar.value = await json("progress", {}); } catch { break; }
  }
}
