// The plane model: its coarse answer, the full one, the bounding laws; and the words on them.

import { Refusal, arrays, rows } from "./ask.js";
import { again, announce, isNewest, sinceMove } from "./asking.js";
import { at } from "./page.js";
import { state, tell } from "./state.js";

const NONE = { laws: [], arrays: {} };

let coarse;
let full;
let bounds;

const ask = (accuracy) => (signal) => arrays("solve", { moves: state.moves, accuracy, stage: at("stage").value }, signal);

export function announceCoarse() {
  coarse = announce({ name: "coarse", slow: false, ask: ask("coarse"), take: takeCoarse, fail });
}

export function announceFull() {
  full = announce({ name: "full", words: "Full answer", ask: ask("full"), take: takeFull, fail });
  bounds = announce({
    name: "bounds", words: "Bounding hardening laws", needed: () => state.told.bounds,
    ask: (signal) => arrays("bounds", { moves: state.moves }, signal),
    take: (found) => { state.laws = found; tell("charts"); },
    fail: failBounds,
  });
}

// The program has the answer still; only the fields of another stage come.
export function stageChanged() {
  const { answer } = state;
  if (answer?.accuracy === "full" && isNewest(answer.number)) again(full);
  else again(coarse, full);
}

function takeCoarse(found, number) {
  state.laws = null;
  const milliseconds = sinceMove();
  show(found, number);
  if (isNewest(number)) document.body.dataset.coarse = milliseconds.toFixed(0);
  at("state").textContent = `Coarse answer after ${milliseconds.toFixed(0)} ms: mesh four times coarser, few increments `
    + `(${size(found)}), no bounds. Edge stress within some 5 % of yield, depth within some 7 %. The full answer follows.`;
}

function takeFull(found, number) {
  const before = state.answer;
  const off = before?.accuracy === "coarse" && before.number === number ? difference(before, found) : "";
  coarse.done = number;
  show(found, number);
  at("state").textContent = `Full answer, the same numbers as hoopset run (${size(found)}, ${found.seconds.toFixed(2)} s).${off}`;
}

const size = ({ unknowns, increments }) => `${unknowns} unknowns, ${increments} increments`;

function show(found, number) {
  state.answer = { ...found, number };
  if (state.line) state.line = { ...state.line, points: null };
  at("trouble").hidden = true;
  warn(found.warnings);
  tell("answered");
  document.body.dataset.shown = `${found.accuracy} ${number}`;
}

function warn(warnings) {
  const box = at("warnings");
  box.hidden = !warnings.length;
  box.replaceChildren(...warnings.map((words) => {
    const p = document.createElement("p");
    p.textContent = `Warning: ${words}`;
    return p;
  }));
}

function fail(error, number) {
  for (const kind of [coarse, full, bounds]) kind.done = number;
  state.laws = NONE;
  if (!isNewest(number)) return;
  complain(error, "This state cannot be solved; the pictures show the one before it.");
  document.body.dataset.shown = `failed ${number}`;
  at("state").textContent = "No answer for this position.";
}

function failBounds(error, number) {
  state.laws = NONE;
  if (isNewest(number)) complain(error, "No bounding laws.");
}

function complain(error, head) {
  const box = at("trouble");
  box.replaceChildren();
  const add = (name, words) => { const part = document.createElement(name); part.textContent = words; box.append(part); };
  if (error instanceof Refusal) {
    add("strong", head);
    add("pre", `error: ${error.message}${error.hint ? `\nhint: ${error.hint}` : ""}`);
  } else {
    add("strong", "The program does not answer.");
    add("pre", "Is it still running? Start it again and open the address that it prints.");
  }
  box.hidden = false;
}

// How far a coarse answer was from the full one.
function difference(before, found) {
  const [a, b] = [rows(before.headlines), rows(found.headlines)];
  const last = found.stages.filter((stage) => !stage.loaded).pop()?.label;
  const largest = (column) => Math.max(0, ...b.filter((row) => row.stage === last).map((row) => {
    const other = a.find((r) => r.stage === last && r.hole === row.hole && r.angle_deg === row.angle_deg);
    return other && row[column] && other[column] ? Math.abs(row[column] - other[column]) : 0;
  }));
  const { stress, length } = state.told;
  return ` The coarse answer was off by ${largest("edge_hoop").toPrecision(2)} ${stress} at the edge and ${largest("compression_depth").toPrecision(2)} ${length} in depth at most.`;
}
