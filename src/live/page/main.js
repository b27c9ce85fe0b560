// The page put together: what hears of a move, of an answer, of other colours.

import { rows, start } from "./ask.js";
import { touched } from "./asking.js";
import * as compare from "./compare.js";
import { build } from "./controls.js";
import { QUANTITIES } from "./field.js";
import { paintTable } from "./headlines.js";
import * as increments from "./increments.js";
import * as keep from "./keep.js";
import { open as openLesson } from "./lesson.js";
import * as moves from "./moves.js";
import * as ownPath from "./own_path.js";
import { at, frameOnce, whenColours } from "./page.js";
import * as paths from "./paths.js";
import { announceCoarse, announceFull, stageChanged } from "./plane.js";
import * as reading from "./reading.js";
import * as section from "./section.js";
import * as sectionView from "./section_view.js";
import { state, tell, when } from "./state.js";
import { field, lists, paintFields } from "./view.js";

function listenToChoices() {
  at("stage").addEventListener("change", () => { increments.leaveIncrements(); stageChanged(); });
  for (const id of ["quantity", "zones", "mesh"]) {
    at(id).addEventListener("change", () => { tell("fields"); tell("charts"); });
  }
  at("view").addEventListener("change", () => { field.box = null; tell("fields"); });
}

function listen(board) {
  when("moved", () => board.show(state.moves));
  when("moved", increments.leaveIncrements);
  when("moved", section.sectionMoved);
  when("moved", touched);
  when("answered", lists);
  when("answered", () => { tell("fields"); tell("charts"); });
  when("answered", paintTable);
  when("answered", ownPath.fetchLine);
  when("fields", paintFields);
  when("fields", reading.read);
  when("charts", paths.paintChart);
  for (const part of [moves, paths, ownPath, increments, compare, keep, section, sectionView]) part.listen();
  reading.listen(ownPath.choose);
  listenToChoices();
  const repaint = () => {
    if (state.answer) { tell("fields"); tell("charts"); }
    sectionView.paintSection();
  };
  new ResizeObserver(() => frameOnce(repaint)).observe(at("figure-now"));
  whenColours(repaint);
}

function openPage() {
  const { told } = state;
  document.title = `${told.title} – live`;
  at("title").textContent = told.title;
  at("subtitle").textContent = `${told.file} · ${told.metal} · lengths in ${told.length}, stresses in ${told.stress}, tension positive`;
  at("footer").textContent = `${told.program} · a two-dimensional model for study; it does not replace approved data or the judgement of a licensed engineer. Nothing leaves this machine.`;
  at("quantity").replaceChildren(...QUANTITIES.map(([key, words]) => new Option(words, key)));
}

// The case of a lesson is not computed before its prediction is made.
function openCourse(told) {
  state.ready = false;
  at("state").textContent = "The case is computed when you have made your prediction.";
  const lesson = openLesson(told, () => { state.ready = true; tell("moved"); });
  when("answered", () => {
    const { answer, moves: made } = state;
    if (answer.accuracy === "full") lesson.answered(rows(answer.headlines), Object.keys(made).length > 0);
  });
}

async function begin() {
  state.told = await start();
  openPage();
  announceCoarse();
  section.announceCoarseSection();
  announceFull();
  section.announceFullSection();
  listen(build(at("controls"), state.told.controls, moves.moved));
  if (state.told.lesson) openCourse(state.told.lesson);
  tell("moved");
}

begin();
