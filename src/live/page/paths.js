// Curves along the paths of a hole, with those of the state A, of the bounding laws and of one's own path.

import { Chart, SERIES, along } from "./chart.js";
import { at, isDark, minus, style } from "./page.js";
import { stage, state } from "./state.js";
import { quantity } from "./view.js";

const REACH = 3; // diameters of the hole that a chart shows

const chart = new Chart(at("chart"));

// Points of a curve from the numbers of a path.
function pointsOf(data, columns, column, times) {
  const points = [];
  for (let k = 0; k < data.length; k += columns) points.push([data[k], times * data[k + column]]);
  return points;
}

function curvesOf(found, prefix, hole, { column, times }, look) {
  const own = (found.paths ?? []).map((path, k) => ({ path, k })).filter(({ path }) => path.hole === hole);
  return own.map(({ path, k }, order) => ({
    points: pointsOf(found.arrays[`${prefix}path${k}`], found.path_columns.length, column, times), ...look(path, order),
  }));
}

// The quantity of the chart: that of the field where a path has it, else hoop stress.
function pathQuantity() {
  const now = quantity();
  const columns = state.answer.path_columns;
  const column = columns.indexOf(now.key);
  if (column >= 0) return { ...now, column };
  return { words: "Hoop stress", unit: state.told.stress, times: 1, column: columns.indexOf("hoop") };
}

function curves(hole, shown) {
  const { answer, held, laws, line } = state;
  const series = (order) => SERIES[order % SERIES.length];
  const look = (order) => ({ colour: series(order)[isDark() ? 1 : 0], dash: series(order)[2] });
  const all = curvesOf(answer, "", hole, shown, (path, order) => ({ label: `${path.hole} ${minus(path.angle)}°`, angle: path.angle, ...look(order) }));
  if (held) all.push(...curvesOf(held, "", hole, shown, (_, order) => ({ label: order ? "" : "A, thin", ...look(order), width: 1 })));
  const last = answer.stage === answer.stages.length - 1;
  for (const law of (last && laws?.laws) || []) {
    all.push(...curvesOf({ ...laws, paths: law.paths }, `${law.hardening}:`, hole, shown, (_, order) => ({
      label: order ? "" : `all hardening ${law.hardening}`, colour: style("--soft"), dash: law.hardening === "isotropic" ? [1, 3] : [7, 3, 1, 3], width: 1,
    })));
  }
  if (line?.points) {
    all.push({ points: pointsOf(line.points, answer.path_columns.length, shown.column, shown.times), label: "own path", colour: "#c81e1e", width: 2.6 });
  }
  return all;
}

// Measurements over the last state without tool and load, which they are of; each with how far the paths are from it.
function measurements(hole, shown, all) {
  const { answer, told } = state;
  const last = answer.stages.filter((one) => !one.loaded).pop();
  if (stage() !== last || !["hoop", "radial"].includes(answer.path_columns[shown.column])) return [];
  const own = (told.measured ?? []).filter((one) => one.component === answer.path_columns[shown.column]);
  return own.map(({ label, points, share }) => {
    const here = points.filter((point) => point.hole === hole);
    // A point that names no direction is held against the mean of all paths.
    const off = here.map(({ angle, at: [x, y] }) => {
      const there = all.filter((curve) => curve.angle !== undefined && (angle === null || Math.abs((curve.angle - angle) % 360) < 1e-6));
      const values = there.map((curve) => along(curve.points, x)).filter((value) => value !== null);
      return values.length ? y - share * values.reduce((sum, value) => sum + value, 0) / values.length : null;
    }).filter((value) => value !== null);
    const mean = off.reduce((sum, value) => sum + value, 0) / off.length;
    const root = Math.sqrt(off.reduce((sum, value) => sum + value * value, 0) / off.length);
    const words = off.length ? `${label}, measured less computed at ${off.length} points: mean ${minus(mean.toFixed(1))}, root mean square ${root.toFixed(1)} ${told.stress}` : "";
    return { points: here.map((point) => point.at).sort((a, b) => a[0] - b[0]), label, words, marker: true, colour: style("--ink") };
  }).filter((one) => one.points.length);
}

export function paintChart() {
  const { answer, told, line } = state;
  if (!answer) return;
  const shown = pathQuantity();
  const hole = at("hole").value;
  const all = curves(hole, shown);
  const measured = measurements(hole, shown, all);
  all.push(...measured);
  // Beyond a few diameters little happens.
  const near = at("far").checked ? Infinity : REACH * Math.max(...answer.holes.map((one) => one.diameter));
  for (const curve of all) curve.points = curve.points.filter(([x], k, points) => k === 0 || points[k - 1][0] <= near);
  chart.draw({ curves: all, x: `Distance from the edge of hole ${hole} (${told.length})`, y: `${shown.words} (${shown.unit})`, ink: style("--ink"), paper: style("--paper"), grid: style("--line") });
  at("chart-caption").textContent = `${shown.words} along paths from hole ${hole}, ${stage().heading}${line?.points ? "; the own path counts from its first point" : ""}${measured.map((one) => one.words && `; ${one.words}`).join("")}`;
}

// The values of all curves under the pointer.
export function listen() {
  for (const id of ["hole", "far"]) at(id).addEventListener("change", paintChart);
  at("chart").addEventListener("pointermove", (event) => {
    at("chart-reading").textContent = chart.under(event, state.told.length) ?? "";
  });
}
