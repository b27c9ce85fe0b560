// Two states side by side: the held one is A.

import { at } from "./page.js";
import { state, tell } from "./state.js";

export function listen() {
  at("hold").addEventListener("click", () => {
    if (!state.answer) return;
    const label = (id) => state.told.controls.find((control) => control.id === id)?.label ?? id;
    const changed = Object.entries(state.moves).map(([id, value]) => `${label(id)} ${value}`);
    state.held = { ...state.answer, words: changed.join(", ") || "as read" };
    at("drop").hidden = false;
    tell("answered");
  });
  at("drop").addEventListener("click", () => {
    state.held = null;
    at("drop").hidden = true;
    tell("answered");
  });
}
