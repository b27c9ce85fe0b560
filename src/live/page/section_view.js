// The pictures of a section: field over radius and depth, stress against distance, pull against travel, numbers.

import { Chart, SERIES } from "./chart.js";
import { FieldPicture, QUANTITIES, levels, range, valueAt } from "./field.js";
import { at, frameOnce, isDark, make, minus, style } from "./page.js";
import { state } from "./state.js";

const SHOWN = ["hoop", "radial", "axial", "shear", "von_mises", "plastic"];
const CURVES = [0, 0.05, 0.5, 0.95, 1, null]; // shares of the depth; null: the mean
const REACH = 4; // radii of the bore that are shown
const [STEP, LEAP] = [4, 24]; // pixels by which the arrow keys move the cross
const NOWHERE = { x: null, y: null }; // a section has no mirror lines

const field = new FieldPicture(at("section-field"));
const paths = new Chart(at("section-paths"));
const pull = new Chart(at("section-pull"));
let probe = null;

const quantities = QUANTITIES.filter(([key]) => SHOWN.includes(key));
const isStrain = (kind) => kind === "percent";

function shownStage() {
  const { stages } = state.section;
  const index = stages.findIndex(({ label }) => label === at("section-stage").value);
  return index < 0 ? stages.length - 1 : index;
}

function quantity() {
  const [key, words, kind] = quantities.find(([name]) => name === at("section-quantity").value);
  return { key, words, unit: isStrain(kind) ? "%" : state.told.stress, times: isStrain(kind) ? 100 : 1 };
}

export function clearSection() {
  for (const picture of [field, paths, pull]) picture.canvas.getContext("2d").clearRect(0, 0, picture.canvas.width, picture.canvas.height);
  at("section-table").tBodies[0].replaceChildren();
}

export function paintSection() {
  if (!state.section?.stages.length) return;
  const index = shownStage();
  const now = quantity();
  paintField(index, now);
  paintPaths(index, now);
  paintPull();
  paintTable(index);
  read();
}

function paintField(index, { key, words, unit, times }) {
  const { section, told } = state;
  const get = (name) => section.arrays[`stage${index}:${name}`];
  const values = get(key).map((value) => value * times);
  const [low, high] = range(values);
  field.plate = { nodes: get("nodes"), triangles: get("triangles"), outline: get("outline"), symmetry: NOWHERE };
  field.values = values;
  const far = Math.min(section.outer, (1 + REACH) * section.inner);
  field.box = [0.98 * section.inner, -1.03 * section.thickness, far, 0.03 * section.thickness];
  field.draw({
    colours: told.colours, bands: levels(low, high), ink: style("--ink"), paper: style("--paper"), unit,
    meshLines: at("section-mesh").checked, zones: [], marks: probe ? [{ at: probe }] : [],
  });
  const { heading } = section.stages[index];
  at("section-caption").textContent = `${words} (${unit}) over radius (across) and depth (down), bore on the left, ${heading}`;
  const ends = [low, high].map((value) => minus(value.toPrecision(4)));
  at("section-field").setAttribute("aria-label", `${words} in the section, ${heading}: from ${ends[0]} to ${ends[1]} ${unit}`);
}

const depthWords = ({ share, depth }) => (share === null ? "mean" : share <= 0 ? "entry face" : share >= 1 ? "exit face"
  : share === 0.5 ? "middle" : `${depth.toFixed(2)} ${state.told.length} deep`);

function paintPaths(index, { key, words, unit, times }) {
  const { section, told } = state;
  const columns = section.path_columns;
  const column = columns.indexOf(key);
  const curves = [];
  section.stages[index].paths.forEach((path, k) => {
    const order = CURVES.indexOf(path.share);
    if (order < 0) return;
    const data = section.arrays[`stage${index}:path${k}`];
    const points = [];
    for (let j = 0; j < data.length; j += columns.length) {
      points.push([data[j], times * data[j + column]]);
      if (data[j] > REACH * section.inner) break;
    }
    curves.push({ points, label: depthWords(path), colour: SERIES[order][isDark() ? 1 : 0], dash: SERIES[order][2], width: path.share === null ? 3 : 2 });
  });
  paths.draw({ curves, x: `Distance from the bore (${told.length})`, y: `${words} (${unit})`, ink: style("--ink"), paper: style("--paper"), grid: style("--line") });
  at("section-paths-caption").textContent = `${words} at several depths, ${section.stages[index].heading}; the values of single points at a face depend on the mesh`;
}

function paintPull() {
  const { section, told } = state;
  const columns = section.travel_columns;
  const curves = section.draws.flatMap((label, k) => [["pull", "pull force"], ["friction", "of it friction"]].map(([name, words], order) => {
    const data = section.arrays[`travel${k}`];
    const points = [];
    for (let j = 0; j < data.length; j += columns.length) points.push([data[j], data[j + columns.indexOf(name)]]);
    const look = SERIES[(2 * k + order) % SERIES.length];
    return { points, label: section.draws.length > 1 ? `${label}, ${words}` : words, colour: look[isDark() ? 1 : 0], dash: look[2] };
  }));
  at("section-pull").closest("figure").hidden = !curves.length;
  if (!curves.length) return;
  pull.draw({ curves, legendOnTop: true, x: `Travel of the mandrel (${told.length})`, y: `Force (${section.force})`, ink: style("--ink"), paper: style("--paper"), grid: style("--line") });
  const most = section.stages.filter(({ largest_pull: force }) => force > 0).map(({ label, largest_pull: force }) => `${label} ${force.toPrecision(4)} ${section.force}`);
  at("section-pull-caption").textContent = `Force of the pull against the travel since the first touch; largest: ${most.join(", ")}`;
}

function paintTable(index) {
  const { section, told } = state;
  const { paths: rows, label, bore_diameter: bore } = section.stages[index];
  const { stress, length } = told;
  const inches = length === "in" ? 1 : 0;
  const heads = ["Depth", `Hoop at the bore, ${stress}`, `Highest compression, ${stress}`, `at, ${length}`, `Compression to, ${length}`];
  at("section-table").tHead.replaceChildren(make("tr", {}, ...heads.map((textContent) => make("th", { scope: "col", textContent }))));
  const cell = (value, decimals, key) => {
    const made = make("td", { textContent: value === null ? "–" : minus(value.toFixed(decimals + inches)) });
    Object.assign(made.dataset, { key, value });
    return made;
  };
  at("section-table").tBodies[0].replaceChildren(...rows.map((path) => make("tr", {},
    make("th", { scope: "row", textContent: depthWords(path) }),
    cell(path.edge_hoop, 1, "edge_hoop"), cell(path.peak_compression, 1, "peak_compression"),
    cell(path.peak_compression_distance, 3, "peak_compression_distance"), cell(path.depth_of_compression, 3, "depth_of_compression"))));
  const diameters = bore.map((value) => value.toFixed(3 + inches)).join(", ");
  at("section-table-caption").textContent = `Section after ${label} (${section.accuracy} answer); bore near entry, in the middle, near exit: ${diameters} ${length}`;
}

// Says what is at the place that is read.
function read() {
  if (!probe || !field.plate) return;
  const { section, told } = state;
  const found = field.locate(probe);
  const place = `radius ${probe[0].toFixed(3)}, depth ${minus((-probe[1]).toFixed(3))} ${told.length}`;
  if (!found) { at("section-reading").textContent = `${place}: no metal here.`; return; }
  const index = shownStage();
  const words = quantities.map(([key, name, kind]) => {
    const value = valueAt(section.arrays[`stage${index}:${key}`], found);
    return `${name.toLowerCase()} ${minus(isStrain(kind) ? `${(100 * value).toFixed(3)} %` : `${value.toFixed(1)} ${told.stress}`)}`;
  });
  at("section-reading").textContent = `${place}: ${words.join("; ")}.`;
}

export function listen() {
  at("section-quantity").replaceChildren(...quantities.map(([key, words]) => new Option(words, key)));
  for (const id of ["section-stage", "section-quantity", "section-mesh"]) at(id).addEventListener("change", paintSection);
  const canvas = at("section-field");
  canvas.addEventListener("pointermove", (event) => {
    if (!state.section) return;
    const box = canvas.getBoundingClientRect();
    probe = field.toPlate([event.clientX - box.left, event.clientY - box.top]);
    frameOnce(paintSection);
  });
  canvas.addEventListener("keydown", (event) => {
    if (!state.section || event.ctrlKey || event.metaKey) return;
    const by = (event.shiftKey ? LEAP : STEP) / field.scale;
    const way = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, by], ArrowDown: [0, -by] }[event.key];
    if (!way) return;
    event.preventDefault();
    probe ??= [...field.middle];
    probe = [probe[0] + way[0], probe[1] + way[1]];
    paintSection();
  });
}
