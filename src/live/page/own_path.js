// A path of one's own between two points of the plate.

import { arrays } from "./ask.js";
import { isBusyWith, isNewest } from "./asking.js";
import { at } from "./page.js";
import { state, tell } from "./state.js";

const AGAIN = 150; // milliseconds before the shown answer is looked at again

let timer = 0;

function pressed(on) {
  state.choosing = on;
  at("line").setAttribute("aria-pressed", String(on));
}

// Takes an end: the first, or the second after it.
export function choose(place) {
  const { line } = state;
  if (!line || line.to) {
    pressed(true);
    state.line = { from: [...place], to: null, points: null };
  } else {
    state.line = { ...line, to: [...place] };
    pressed(false);
    fetchLine();
  }
  tell("fields");
}

// Gets the stresses of the line in the answer that is shown.
export async function fetchLine() {
  const { line, answer } = state;
  if (!line?.to || line.points || !answer) return;
  // The moves that the shown answer belongs to are the present ones, or this is asked again.
  clearTimeout(timer);
  if (!isNewest(answer.number) || isBusyWith("coarse", "full", "increments")) { timer = setTimeout(fetchLine, AGAIN); return; }
  try {
    const question = { moves: state.moves, accuracy: answer.accuracy, stage: at("stage").value, line: [line.from, line.to], hole: at("hole").value };
    const found = await arrays("line", question);
    if (state.line !== line) return;
    state.line = { ...line, points: found.arrays.line };
    document.body.dataset.line = String(found.arrays.line.length);
    tell("charts");
  } catch (error) {
    if (!error.superseded) at("reading").textContent = `${error.message}.`;
  }
}

export function listen() {
  at("line").addEventListener("click", () => {
    pressed(!state.choosing);
    at("reading").textContent = state.choosing ? "Choose the first and the second end on the plate." : "";
    if (!state.choosing) { state.line = null; tell("fields"); tell("charts"); }
  });
}
