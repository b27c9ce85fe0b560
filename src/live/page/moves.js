// What was moved, and the way back.

import { at } from "./page.js";
import { state, tell } from "./state.js";

const LONGEST = 200; // steps that can be undone

let [past, future] = [[], []];
let settled = {}; // the moves at the last step of the undo list

export function moved(id, value, done) {
  state.moves = { ...state.moves, [id]: value };
  if (done) settle();
  tell("moved");
}

// One step of the undo list.
function settle() {
  if (JSON.stringify(settled) === JSON.stringify(state.moves)) return;
  past.push(settled);
  if (past.length > LONGEST) past.shift();
  future = [];
  settled = state.moves;
  buttons();
}

function buttons() {
  at("undo").disabled = !past.length;
  at("redo").disabled = !future.length;
}

function step(from, to) {
  if (!from.length) return;
  to.push(settled);
  settled = from.pop();
  state.moves = settled;
  buttons();
  tell("moved");
}

const undo = () => step(past, future);
const redo = () => step(future, past);

export function listen() {
  at("undo").addEventListener("click", undo);
  at("redo").addEventListener("click", redo);
  at("reset").addEventListener("click", () => { state.moves = {}; settle(); tell("moved"); });
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || event.target.type === "number") return;
    event.preventDefault();
    event.shiftKey ? redo() : undo();
  });
}
