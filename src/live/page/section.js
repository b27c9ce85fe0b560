// The section of a hole, a mandrel drawn through the thickness: its coarse answer, then the full one.

import { Refusal, arrays } from "./ask.js";
import { again, announce, isNewest } from "./asking.js";
import { keepTable } from "./keep.js";
import { at, fill } from "./page.js";
import { clearSection, paintSection } from "./section_view.js";
import { state } from "./state.js";

// Measured on the shipped cases; docs/live.md has the table.
const COARSE = "Pull within 1.5 %, depth of compression within 6 %, mean hoop stress at the bore within 10 % of yield, at single depths "
  + "between the faces within 23 %; at a face read nothing.";

let coarse;
let full;

const question = (accuracy) => ({ moves: state.moves, accuracy, hole: at("section-hole").value });

function kind(accuracy, words) {
  return {
    name: `section-${accuracy}`, words, needed: () => state.told.sections.length > 0,
    ask: (signal) => arrays("section", question(accuracy), signal),
    take,
    fail,
  };
}

// Between the coarse and the full answer of the plane: a draw takes seconds, and more of them when it is full.
export function announceCoarseSection() {
  coarse = announce(kind("coarse", "Coarse section"));
}

export function announceFullSection() {
  full = announce(kind("full", "Full section"));
}

function take(found, number) {
  const before = state.section;
  state.section = { ...found, number };
  at("section-trouble").hidden = true;
  at("section").classList.toggle("stale", !isNewest(number));
  const size = `${found.unknowns} unknowns, ${found.increments} increments, ${found.seconds.toFixed(1)} s`;
  at("section-state").textContent = found.accuracy === "coarse"
    ? `Coarse section: mesh of half the fineness, few increments (${size}). ${COARSE} The full section follows.`
    : `Full section, the same numbers as hoopset section (${size}).${before?.accuracy === "coarse" && before.number === number ? difference(before, found) : ""}`;
  fill(at("section-stage"), found.stages.map(({ label }) => [label, label]),
    found.stages.some(({ label }) => label === at("section-stage").value) ? at("section-stage").value : found.stages.at(-1)?.label);
  paintSection();
  document.body.dataset.section = `${found.accuracy} ${number}`;
}

// How far the coarse section was from the full one, at the end of the work.
function difference(before, found) {
  const [a, b] = [before, found].map(({ stages }) => stages.at(-1)?.paths ?? []);
  const inside = b.map((path, k) => [path, a[k]]).filter(([{ share }, other]) => other && (share === null || (share > 0 && share < 1)));
  const most = Math.max(0, ...inside.map(([path, other]) => Math.abs(path.edge_hoop - other.edge_hoop)));
  return ` Between the faces the coarse one was off by ${most.toPrecision(2)} ${state.told.stress} at the bore at most.`;
}

function fail(error, number) {
  for (const one of [coarse, full]) one.done = number;
  if (!isNewest(number)) return;
  const box = at("section-trouble");
  const words = error instanceof Refusal ? `${error.message}${error.hint ? `\nhint: ${error.hint}` : ""}` : "The program does not answer.";
  box.replaceChildren(Object.assign(document.createElement("pre"), { textContent: `error: ${words}` }));
  box.hidden = false;
  at("section-state").textContent = "No section for this position.";
  document.body.dataset.section = `failed ${number}`;
}

// The shown section is that of an earlier position.
export function sectionMoved() {
  if (!state.section) return;
  at("section").classList.add("stale");
  at("section-state").textContent = "The section of the position before; the new one is computed when nothing moves.";
}

export function listen() {
  const { sections } = state.told;
  at("section").hidden = !sections.length;
  fill(at("section-hole"), sections.map((hole) => [hole, hole]), sections[0]);
  at("section-hole").addEventListener("change", () => { state.section = null; clearSection(); again(coarse, full); });
  for (const table of ["section", "travel"]) {
    at(`keep-${table}`).addEventListener("click", () => {
      const hole = at("section-hole").value;
      keepTable(table, `-${hole}-${table}.csv`, { wait: "section-full", said: "section-state", hole });
    });
  }
}
