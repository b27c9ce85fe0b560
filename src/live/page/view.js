// The picture of the plate: which field, which part of the plate, which borders and marks.

import { FieldPicture, QUANTITIES, bounds, levels, range } from "./field.js";
import { at, fill, minus, style } from "./page.js";
import { stage, state, tell } from "./state.js";

export const field = new FieldPicture(at("field"));
const heldField = new FieldPicture(at("held"));

// Stages, holes and views may change with the case.
export function lists() {
  const { answer } = state;
  fill(at("stage"), answer.stages.map(({ label }) => [label, label]), stage().label);
  fill(at("hole"), answer.holes.map(({ name }) => [name, name]), at("hole").value || answer.holes[0]?.name);
  const near = answer.holes.map(({ name }) => [`hole ${name}`, `round hole ${name}`]);
  const own = at("view").value === "own" ? [["own", "own"]] : [];
  fill(at("view"), [["plate", "whole plate"], ...near, ...own], at("view").value || near[0]?.[0] || "plate");
}

function plateOf(found, prefix = "", symmetry = found.symmetry) {
  const get = (name) => found.arrays[`${prefix}${name}`];
  return { nodes: get("nodes"), triangles: get("triangles"), outline: get("outline"), symmetry };
}

function boxFor(found) {
  const view = at("view").value;
  const hole = found.holes.find(({ name }) => view === `hole ${name}`);
  if (!hole) return bounds(plateOf(found));
  const reach = 2 * hole.diameter;
  return [hole.x - reach, hole.y - reach, hole.x + reach, hole.y + reach];
}

// The chosen quantity: key, words, unit, and the factor to what is printed.
export function quantity() {
  const [key, words, kind] = QUANTITIES.find(([name]) => name === at("quantity").value);
  const unit = { stress: state.told.stress, length: state.told.length, percent: "%" }[kind];
  return { key, words, unit, times: kind === "percent" ? 100 : 1 };
}

const scaled = (values, times) => (times === 1 ? values : values.map((value) => value * times));

function zonesOf(found, prefix = "") {
  if (!at("zones").checked) return [];
  return [
    { values: found.arrays[`${prefix}yielded`], colour: "#1c1e24" },
    { values: found.arrays[`${prefix}reversed`], colour: "#7a3e8a" },
  ];
}

// The answer or the increment that is shown: where its arrays are, its plate, its title.
export function source() {
  const { answer, scrub } = state;
  if (!scrub) return { found: answer, prefix: "", plate: plateOf(answer), title: stage().heading };
  const frame = scrub.frames[scrub.shown];
  return { found: scrub, prefix: `frame${scrub.shown}:`, plate: plateOf(scrub, `mesh${frame.mesh}:`, frame.symmetry), title: frameWords(frame) };
}

export function frameWords({ stage: name, phase, share, pressure }) {
  const press = pressure > 0 ? `, mean contact pressure ${pressure.toFixed(0)} ${state.told.stress}` : "";
  return `${name}, ${phase}, ${(100 * share).toFixed(0)} %${press} (coarse)`;
}

export function paintFields() {
  if (!state.answer) return;
  const { key, words, unit, times } = quantity();
  const { found, prefix, plate, title } = source();
  const values = found.arrays[`${prefix}${key}`];
  const beside = state.held && !state.scrub;
  const all = [range(values)];
  if (beside && state.held.arrays[key]) all.push(range(state.held.arrays[key]));
  const bands = levels(times * Math.min(...all.map(([low]) => low)), times * Math.max(...all.map(([, high]) => high)));
  const look = { colours: state.told.colours, bands, ink: style("--ink"), paper: style("--paper"), unit, meshLines: at("mesh").checked };
  at("figure-held").hidden = !beside;
  document.querySelector(".pictures").classList.toggle("two", Boolean(beside));
  field.plate = plate;
  field.values = scaled(values, times);
  if (at("view").value !== "own" || !field.box) field.box = boxFor(state.answer);
  field.draw({ ...look, zones: zonesOf(found, prefix), marks: marks() });
  const zone = at("zones").checked ? "; black line: border of the yielded metal, violet: of reverse yielding" : "";
  at("field-caption").textContent = `${words} (${unit}), ${title}${beside ? ", this state" : ""}${zone}`;
  const [low, high] = range(values).map((value) => minus((times * value).toPrecision(4)));
  at("field").setAttribute("aria-label", `${words}, ${title}: from ${low} to ${high} ${unit}`);
  if (beside) paintHeld(key, times, look);
}

function marks() {
  const { line, probe } = state;
  return [...(line ? [{ from: line.from, to: line.to, colour: "#c81e1e" }] : []), ...(probe ? [{ at: probe }] : [])];
}

function paintHeld(key, times, look) {
  const { held } = state;
  heldField.plate = plateOf(held);
  heldField.values = scaled(held.arrays[key], times);
  heldField.box = field.box;
  heldField.draw({ ...look, zones: zonesOf(held), marks: [] });
  at("held-caption").textContent = `A: ${held.words}, ${stage(held).heading}`;
}

export function zoom(factor, [x, y]) {
  const [x0, y0, x1, y1] = field.box;
  look([x + (x0 - x) * factor, y + (y0 - y) * factor, x + (x1 - x) * factor, y + (y1 - y) * factor]);
}

// Shows the part of the plate in a box.
export function look(box) {
  field.box = box;
  if (at("view").value !== "own") {
    at("view").append(new Option("own", "own"));
    at("view").value = "own";
  }
  tell("fields");
}
