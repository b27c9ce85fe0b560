// Stepping through the increments of the work, coarsely.

import { arrays } from "./ask.js";
import { apart } from "./asking.js";
import { at } from "./page.js";
import { state, tell } from "./state.js";
import { frameWords } from "./view.js";

export function leaveIncrements() {
  if (!state.scrub) return;
  state.scrub = null;
  at("frame").disabled = true;
  at("frame-words").textContent = "";
  at("increments").setAttribute("aria-pressed", "false");
  tell("fields");
}

async function enter() {
  at("frame-words").textContent = "computing the increments";
  try {
    const found = await apart("increments", (signal) => arrays("increments", { moves: state.moves }, signal));
    at("frame-words").textContent = "";
    if (!found?.frames.length) return;
    state.scrub = { ...found, shown: 0 };
    Object.assign(at("frame"), { max: found.frames.length - 1, value: 0, disabled: false });
    at("increments").setAttribute("aria-pressed", "true");
    show(0);
  } catch (error) {
    at("frame-words").textContent = error.superseded || error.name === "AbortError" ? "" : error.message;
  }
}

function show(number) {
  state.scrub.shown = number;
  const words = frameWords(state.scrub.frames[number]);
  at("frame").setAttribute("aria-valuetext", words);
  at("frame-words").textContent = words;
  tell("fields");
}

export function listen() {
  at("increments").addEventListener("click", () => (state.scrub ? leaveIncrements() : enter()));
  at("frame").addEventListener("input", () => show(Number(at("frame").value)));
}
