// The page: what was moved, what is asked, what is shown.
//
// While something moves, coarse answers follow one another, each for the newest position. When nothing has
// moved for a moment the full answer is asked for, then that of the bounding hardening laws. A move stops both.

import { Refusal, arrays, json, rows, save, start, text } from "./ask.js";
import { Chart, SERIES, along } from "./chart.js";
import { build } from "./controls.js";
import { open as openLesson } from "./lesson.js";
import { FieldPicture, QUANTITIES, bounds, levels, range, valueAt } from "./field.js";

const REACH = 3; // diameters of the hole that a chart shows
const REST = 220; // milliseconds without a move before the full answer is asked for
const at = (id) => document.getElementById(id);
const minus = (word) => String(word).replace("-", "−");
const style = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

const field = new FieldPicture(at("field"));
const heldField = new FieldPicture(at("held"));
const chart = new Chart(at("chart"));

let told; // what the program says of the case
let board; // the controls
let moves = {};
let [past, future] = [[], []];
let settled = {}; // the moves at the last step of the undo list
let wanted = 0; // number of the newest position
let shown = { coarse: -1, full: -1 };
let movedAt = 0;
let busy = null; // { accuracy, abort }
let timer = 0;
let answer = null;
let held = null; // the state A
let laws = null; // bounding laws of the shown state
let scrub = null; // increments, when stepping through them
let probe = null; // place that is read
let line = null; // { from, to, points }
let choosing = false;

// ---- asking

function asked(accuracy) {
  return { moves, accuracy, stage: at("stage").value };
}

function moved(id, value, done) {
  moves = { ...moves, [id]: value };
  if (done) settle();
  touched();
}

// One step of the undo list.
function settle() {
  if (JSON.stringify(settled) === JSON.stringify(moves)) return;
  past.push(settled);
  if (past.length > 200) past.shift();
  future = [];
  settled = moves;
  at("undo").disabled = false;
  at("redo").disabled = true;
}

function step(from, to) {
  if (!from.length) return;
  to.push(settled);
  settled = from.pop();
  moves = settled;
  at("undo").disabled = !past.length;
  at("redo").disabled = !future.length;
  touched();
}

function touched() {
  wanted += 1;
  movedAt = performance.now();
  clearTimeout(timer);
  board.show(moves);
  leaveIncrements();
  pump();
}

// Asks for what is missing; one question at a time.
function pump() {
  if (!ready) return;
  if (busy) {
    // A coarse answer is nearly there; what takes longer gives way.
    if (busy.accuracy !== "coarse" && busy.number !== wanted) busy.abort.abort();
    return;
  }
  if (Math.max(shown.coarse, shown.full) < wanted) ask("coarse");
  else if (shown.full < wanted) timer = setTimeout(() => ask("full"), REST);
  else if (told.bounds && !laws) ask("bounds");
}

async function ask(accuracy) {
  if (busy) return;
  const [number, abort] = [wanted, new AbortController()];
  busy = { accuracy, abort, number };
  document.body.dataset.busy = accuracy;
  if (accuracy === "full") follow(abort.signal);
  try {
    if (accuracy === "bounds") {
      const found = await arrays("bounds", { moves }, abort.signal);
      if (number === wanted) { laws = found; paintChart(); }
    } else {
      const found = await arrays("solve", asked(accuracy), abort.signal);
      take(found, accuracy, number);
    }
  } catch (error) {
    fail(error, accuracy, number);
  }
  busy = null;
  document.body.dataset.busy = "";
  at("progress").hidden = true;
  pump();
}

function take(found, accuracy, number) {
  const before = answer;
  const base = shown.coarse;
  answer = found;
  answer.number = number;
  shown[accuracy] = number;
  if (accuracy === "coarse") { laws = null; line = line && { ...line, points: null }; }
  at("trouble").hidden = true;
  at("field").classList.remove("stale");
  paintAll();
  const milliseconds = performance.now() - movedAt;
  if (accuracy === "coarse" && number === wanted) document.body.dataset.coarse = milliseconds.toFixed(0);
  const off = accuracy === "full" && before?.accuracy === "coarse" && base === number ? difference(before, found) : "";
  say(accuracy, milliseconds, off);
  document.body.dataset.shown = `${accuracy} ${number}`;
  if (line && !line.points) fetchLine();
  if (accuracy === "full") lesson?.answered(rows(found.headlines), Object.keys(moves).length > 0);
}

function fail(error, accuracy, number) {
  if (error.name === "AbortError" || error.superseded) return;
  // The same question would fail again: it counts as answered.
  if (accuracy === "bounds") laws = { laws: [], arrays: {} };
  else { shown[accuracy] = number; shown.full = Math.max(shown.full, number); laws = laws ?? { laws: [], arrays: {} }; }
  if (number !== wanted) return;
  const box = at("trouble");
  box.replaceChildren();
  const add = (name, words) => { const part = document.createElement(name); part.textContent = words; box.append(part); };
  if (error instanceof Refusal) {
    add("strong", accuracy === "bounds" ? "No bounding laws." : "This state cannot be solved; the pictures show the one before it.");
    add("pre", `error: ${error.message}${error.hint ? `\nhint: ${error.hint}` : ""}`);
  } else {
    add("strong", "The program does not answer.");
    add("pre", "Is it still running? Start it again and open the address that it prints.");
  }
  box.hidden = false;
  document.body.dataset.shown = `failed ${number}`;
  at("state").textContent = "No answer for this position.";
}

// Shows how far the full answer is.
async function follow(signal) {
  const bar = at("progress");
  bar.value = 0;
  bar.hidden = false;
  while (busy?.accuracy === "full" && !signal.aborted) {
    await new Promise((resolve) => setTimeout(resolve, 300));
    if (busy?.accuracy !== "full" || signal.aborted) break;
    try { bar.value = await json("progress", {}); } catch { break; }
  }
}

function say(accuracy, milliseconds, off) {
  const { unknowns, increments } = answer;
  const size = `${unknowns} unknowns, ${increments} increments`;
  at("state").textContent = accuracy === "coarse"
    ? `Coarse answer after ${milliseconds.toFixed(0)} ms: mesh four times coarser, few increments (${size}), no bounds. Edge stress within some 5 % of yield, depth within some 7 %. The full answer follows.`
    : `Full answer, the same numbers as hoopset run (${size}, ${answer.seconds.toFixed(2)} s).${off}`;
}

// How far a coarse answer was from the full one.
function difference(coarse, full) {
  const [a, b] = [rows(coarse.headlines), rows(full.headlines)];
  const last = full.stages.filter((stage) => !stage.loaded).pop()?.label;
  const largest = (column) => Math.max(0, ...b.filter((row) => row.stage === last).map((row) => {
    const other = a.find((r) => r.stage === last && r.hole === row.hole && r.angle_deg === row.angle_deg);
    return other && row[column] && other[column] ? Math.abs(row[column] - other[column]) : 0;
  }));
  return ` The coarse answer was off by ${largest("edge_hoop").toPrecision(2)} ${told.stress} at the edge and ${largest("compression_depth").toPrecision(2)} ${told.length} in depth at most.`;
}

// ---- showing

function paintAll() {
  lists();
  paintFields();
  paintChart();
  table();
  const box = at("warnings");
  box.hidden = !answer.warnings.length;
  box.replaceChildren(...answer.warnings.map((words) => {
    const p = document.createElement("p");
    p.textContent = `Warning: ${words}`;
    return p;
  }));
}

// Stages, holes and views may change with the case.
function lists() {
  fill(at("stage"), answer.stages.map((stage) => [stage.label, stage.label]), answer.stages[answer.stage].label);
  fill(at("hole"), answer.holes.map((hole) => [hole.name, hole.name]), at("hole").value || answer.holes[0]?.name);
  const near = answer.holes.map((hole) => [`hole ${hole.name}`, `round hole ${hole.name}`]);
  fill(at("view"), [["plate", "whole plate"], ...near, ...(at("view").value === "own" ? [["own", "own"]] : [])], at("view").value || near[0]?.[0] || "plate");
}

function fill(select, entries, value) {
  const same = select.options.length === entries.length && entries.every(([key], k) => select.options[k].value === key);
  if (!same) select.replaceChildren(...entries.map(([key, words]) => new Option(words, key)));
  select.value = value;
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

function quantity() {
  const [key, words, kind] = QUANTITIES.find(([name]) => name === at("quantity").value);
  const unit = { stress: told.stress, length: told.length, percent: "%" }[kind];
  return { key, words, unit, times: kind === "percent" ? 100 : 1 };
}

function scaled(values, times) {
  return times === 1 ? values : values.map((value) => value * times);
}

function zonesOf(found, prefix = "") {
  if (!at("zones").checked) return [];
  return [
    { values: found.arrays[`${prefix}yielded`], colour: "#1c1e24" },
    { values: found.arrays[`${prefix}reversed`], colour: "#7a3e8a" },
  ];
}

function paintFields() {
  if (!answer) return;
  const { key, words, unit, times } = quantity();
  let [plate, values, prefix, title] = [plateOf(answer), answer.arrays[key], "", answer.stages[answer.stage].heading];
  let source = answer;
  if (scrub) {
    const frame = scrub.frames[scrub.shown];
    [source, prefix] = [scrub, `frame${scrub.shown}:`];
    [plate, values] = [plateOf(scrub, `mesh${frame.mesh}:`, frame.symmetry), scrub.arrays[`${prefix}${key}`]];
    title = frameWords(frame);
  }
  const all = [range(values)];
  const beside = held && !scrub;
  if (beside && held.arrays[key]) all.push(range(held.arrays[key]));
  const bands = levels(times * Math.min(...all.map(([low]) => low)), times * Math.max(...all.map(([, high]) => high)));
  const look = { colours: told.colours, bands, ink: style("--ink"), paper: style("--paper"), unit, meshLines: at("mesh").checked };
  const marks = [];
  if (line) marks.push({ from: line.from, to: line.to, colour: "#c81e1e" });
  if (probe) marks.push({ at: probe });
  at("figure-held").hidden = !beside;
  document.querySelector(".pictures").classList.toggle("two", Boolean(beside));
  field.plate = plate;
  field.values = scaled(values, times);
  if (at("view").value !== "own" || !field.box) field.box = boxFor(answer);
  field.draw({ ...look, zones: zonesOf(source, prefix), marks });
  const zone = at("zones").checked ? "; black line: border of the yielded metal, violet: of reverse yielding" : "";
  at("field-caption").textContent = `${words} (${unit}), ${title}${beside ? ", this state" : ""}${zone}`;
  at("field").setAttribute("aria-label", `${words}, ${title}: ${spanWords(values, times, unit)}`);
  if (beside) {
    heldField.plate = plateOf(held);
    heldField.values = scaled(held.arrays[key], times);
    heldField.box = field.box;
    heldField.draw({ ...look, zones: zonesOf(held), marks: [] });
    at("held-caption").textContent = `A: ${held.words}, ${held.stages[held.stage].heading}`;
  }
  read();
}

function spanWords(values, times, unit) {
  const [low, high] = range(values).map((value) => minus((times * value).toPrecision(4)));
  return `from ${low} to ${high} ${unit}`;
}

function frameWords({ stage, phase, share, pressure }) {
  const press = pressure > 0 ? `, mean contact pressure ${pressure.toFixed(0)} ${told.stress}` : "";
  return `${stage}, ${phase}, ${(100 * share).toFixed(0)} %${press} (coarse)`;
}

function curvesOf(found, prefix, hole, column, pick, times) {
  const columns = found.path_columns.length;
  return (found.paths ?? []).map((path, k) => ({ path, k })).filter(({ path }) => path.hole === hole).map(({ path, k }, order) => {
    const data = found.arrays[`${prefix}path${k}`];
    const points = [];
    for (let j = 0; j < data.length; j += columns) points.push([data[j], times * data[j + column]]);
    return pick(path, order, points);
  });
}

function paintChart() {
  if (!answer) return;
  const { words, unit, times, column } = pathQuantity();
  const hole = at("hole").value;
  const dark = matchMedia("(prefers-color-scheme: dark)").matches && !printing ? 1 : 0;
  const colour = (order) => SERIES[order % SERIES.length][dark];
  const curves = curvesOf(answer, "", hole, column, (path, order, points) => ({
    points, label: `${path.hole} ${minus(path.angle)}°`, colour: colour(order), dash: SERIES[order % SERIES.length][2],
  }), times);
  if (held) {
    curves.push(...curvesOf(held, "", hole, column, (path, order, points) => ({
      points, label: order ? "" : "A, thin", colour: colour(order), dash: SERIES[order % SERIES.length][2], width: 1,
    }), times));
  }
  const last = answer.stage === answer.stages.length - 1;
  for (const law of (last && laws?.laws) || []) {
    curves.push(...curvesOf({ ...laws, paths: law.paths }, `${law.hardening}:`, hole, column, (path, order, points) => ({
      points, label: order ? "" : `all hardening ${law.hardening}`, colour: style("--soft"), dash: law.hardening === "isotropic" ? [1, 3] : [7, 3, 1, 3], width: 1,
    }), times));
  }
  if (line?.points) {
    const points = [];
    for (let j = 0; j < line.points.length; j += answer.path_columns.length) points.push([line.points[j], times * line.points[j + column]]);
    curves.push({ points, label: "own path", colour: "#c81e1e", width: 2.6 });
  }
  // Beyond a few diameters little happens.
  const near = at("far").checked ? Infinity : REACH * Math.max(...answer.holes.map((one) => one.diameter));
  for (const curve of curves) curve.points = curve.points.filter(([x], k, all) => k === 0 || all[k - 1][0] <= near);
  chart.draw({ curves, x: `Distance from the edge of hole ${hole} (${told.length})`, y: `${words} (${unit})`, ink: style("--ink"), paper: style("--paper"), grid: style("--line") });
  at("chart-caption").textContent = `${words} along paths from hole ${hole}, ${answer.stages[answer.stage].heading}${line?.points ? "; the own path counts from its first point" : ""}`;
}

// The quantity of the chart: that of the field where a path has it, else hoop stress.
function pathQuantity() {
  const now = quantity();
  const column = answer.path_columns.indexOf(now.key);
  if (column >= 0) return { ...now, column };
  return { words: "Hoop stress", unit: told.stress, times: 1, column: answer.path_columns.indexOf("hoop") };
}

const COLUMNS = [
  ["Path", null], ["Edge hoop", "edge_hoop", 1], ["Compression", "peak_compression", 1], ["at", "peak_compression_at", 3],
  ["Depth", "compression_depth", 3], ["Tension", "peak_tension", 1], ["at", "peak_tension_at", 3],
  ["Plastic to", "plastic_extent", 3], ["Reverse to", "reverse_yield_extent", 3],
];

function table() {
  const head = document.createElement("tr");
  const inches = told.length === "in" ? 1 : 0;
  for (const [name, key, decimals] of COLUMNS) {
    const cell = document.createElement("th");
    cell.scope = "col";
    cell.textContent = key ? `${name}, ${decimals === 1 ? told.stress : told.length}` : name;
    head.append(cell);
  }
  at("headlines").tHead.replaceChildren(head);
  const label = answer.stages[answer.stage].label;
  const of = (found) => (found ? rows(found.headlines).filter((row) => row.stage === found.stages[found.stage].label) : []);
  const [own, others] = [of(answer), of(held)];
  const number = (row, key, decimals) => (row[key] ? minus(Number(row[key]).toFixed(decimals + inches)) : "–");
  at("headlines").tBodies[0].replaceChildren(...own.map((row) => {
    const tr = document.createElement("tr");
    const other = others.find((o) => o.hole === row.hole && o.angle_deg === row.angle_deg);
    for (const [, key, decimals] of COLUMNS) {
      const cell = document.createElement(key ? "td" : "th");
      if (!key) { cell.scope = "row"; cell.textContent = `${row.hole} ${minus(row.angle_deg)}°`; } else {
        cell.textContent = number(row, key, decimals);
        cell.dataset.value = row[key];
        cell.dataset.key = key;
        if (other) { const a = document.createElement("span"); a.className = "a"; a.textContent = `A ${number(other, key, decimals)}`; cell.append(a); }
      }
      tr.append(cell);
    }
    return tr;
  }));
  at("headlines-caption").textContent = `Headline numbers after ${label} (${answer.accuracy} answer)`;
}

// ---- reading values

function read() {
  if (!probe || !field.plate) return;
  const found = field.locate(probe);
  const place = `x ${minus(probe[0].toFixed(3))}, y ${minus(probe[1].toFixed(3))} ${told.length}`;
  if (!found) { at("reading").textContent = `${place}: no metal here.`; return; }
  const source = scrub ?? answer;
  const prefix = scrub ? `frame${scrub.shown}:` : "";
  const words = QUANTITIES.map(([key, name, kind]) => {
    const values = source.arrays[`${prefix}${key}`];
    const value = valueAt(values, found);
    const printed = kind === "stress" ? `${value.toFixed(1)} ${told.stress}` : kind === "percent" ? `${(100 * value).toFixed(3)} %` : `${value.toFixed(4)} ${told.length}`;
    return `${name.toLowerCase()} ${minus(printed)}`;
  });
  at("reading").textContent = `${place}: ${words.join("; ")}.`;
}

function pagePoint(event) {
  const box = at("field").getBoundingClientRect();
  return [event.clientX - box.left, event.clientY - box.top];
}

function zoom(factor, [x, y]) {
  const [x0, y0, x1, y1] = field.box;
  field.box = [x + (x0 - x) * factor, y + (y0 - y) * factor, x + (x1 - x) * factor, y + (y1 - y) * factor];
  ownView();
  paintFields();
}

function ownView() {
  if (at("view").value === "own") return;
  at("view").append(new Option("own", "own"));
  at("view").value = "own";
}

function listenToField() {
  const canvas = at("field");
  let drag = null;
  canvas.addEventListener("pointerdown", (event) => { drag = { from: pagePoint(event), box: [...field.box], far: false }; canvas.setPointerCapture(event.pointerId); });
  canvas.addEventListener("pointermove", (event) => {
    if (!answer) return;
    const now = pagePoint(event);
    if (drag) {
      const [dx, dy] = [now[0] - drag.from[0], now[1] - drag.from[1]];
      if (drag.far || Math.hypot(dx, dy) > 5) {
        drag.far = true;
        const [mx, my] = [dx / field.scale, dy / field.scale];
        field.box = [drag.box[0] - mx, drag.box[1] + my, drag.box[2] - mx, drag.box[3] + my];
        ownView();
        paintFields();
      }
    } else if (!choosing) { probe = field.toPlate(now); frameOnce(paintFields); }
  });
  canvas.addEventListener("pointerup", (event) => {
    if (drag && !drag.far) { probe = field.toPlate(pagePoint(event)); if (choosing) end(probe); else paintFields(); }
    drag = null;
  });
  canvas.addEventListener("wheel", (event) => { event.preventDefault(); zoom(event.deltaY > 0 ? 1.15 : 1 / 1.15, field.toPlate(pagePoint(event))); }, { passive: false });
  canvas.addEventListener("keydown", (event) => {
    if (!answer || event.ctrlKey || event.metaKey) return;
    const by = (event.shiftKey ? 24 : 4) / field.scale;
    const way = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, by], ArrowDown: [0, -by] }[event.key];
    probe ??= [...field.middle];
    if (way) probe = [probe[0] + way[0], probe[1] + way[1]];
    else if (event.key === "+" || event.key === "=") zoom(1 / 1.3, probe);
    else if (event.key === "-") zoom(1.3, probe);
    else if (event.key === "Enter") { choosing = true; end(probe); } else return;
    event.preventDefault();
    paintFields();
  });
}

let framed = false;
function frameOnce(work) {
  if (framed) return;
  framed = true;
  requestAnimationFrame(() => { framed = false; work(); });
}

// ---- a path of one's own

function end(place) {
  if (!line || line.to) line = { from: [...place], to: null, points: null };
  else {
    line = { ...line, to: [...place] };
    choosing = false;
    at("line").setAttribute("aria-pressed", "false");
    fetchLine();
  }
  paintFields();
}

async function fetchLine() {
  if (!line?.to || !answer) return;
  const own = line;
  try {
    const question = { ...asked(answer.accuracy), line: [own.from, own.to], hole: at("hole").value };
    // The moves that the shown answer belongs to are the present ones, or this is asked again.
    if (answer.number !== wanted || busy) { setTimeout(fetchLine, 150); return; }
    const found = await arrays("line", question);
    if (line === own) { line = { ...own, points: found.arrays.line }; document.body.dataset.line = String(found.arrays.line.length); paintChart(); }
  } catch (error) {
    if (!error.superseded) at("reading").textContent = `${error.message}.`;
  }
}

// ---- increments

function leaveIncrements() {
  if (!scrub) return;
  scrub = null;
  at("frame").disabled = true;
  at("frame-words").textContent = "";
  at("increments").setAttribute("aria-pressed", "false");
  paintFields();
}

async function stepThrough() {
  if (scrub) { leaveIncrements(); return; }
  if (busy) { setTimeout(stepThrough, 150); return; }
  at("frame-words").textContent = "computing the increments";
  const number = wanted;
  busy = { accuracy: "increments", abort: new AbortController(), number };
  try {
    const found = await arrays("increments", { moves }, busy.abort.signal);
    if (number === wanted && found.frames.length) {
      scrub = { ...found, shown: 0 };
      Object.assign(at("frame"), { max: found.frames.length - 1, value: 0, disabled: false });
      at("increments").setAttribute("aria-pressed", "true");
      showFrame(0);
    }
  } catch (error) {
    at("frame-words").textContent = error.superseded || error.name === "AbortError" ? "" : `${error.message}`;
  }
  busy = null;
  pump();
}

function showFrame(number) {
  scrub.shown = number;
  const words = frameWords(scrub.frames[number]);
  at("frame").setAttribute("aria-valuetext", words);
  at("frame-words").textContent = words;
  paintFields();
}

// ---- keeping

const stem = () => told.file.split(/[/\\]/).pop().replace(/\.toml$/, "") || "case";

async function keep(name, question, file, type) {
  try { save(file, await text(name, question), type); } catch (error) { at("state").textContent = `Not kept: ${error.message}`; }
}

function keepPicture() {
  const [one, two] = [at("field"), at("chart")];
  const pictures = held && !scrub ? [at("held"), one, two] : [one, two];
  const sheet = document.createElement("canvas");
  const head = 70 * field.ratio;
  sheet.width = Math.max(pictures.slice(0, -1).reduce((sum, c) => sum + c.width, 0), two.width);
  sheet.height = head + one.height + two.height;
  const context = sheet.getContext("2d");
  context.fillStyle = style("--paper");
  context.fillRect(0, 0, sheet.width, sheet.height);
  context.fillStyle = style("--ink");
  context.font = `${18 * field.ratio}px system-ui, sans-serif`;
  context.fillText(told.title, 10, 26 * field.ratio);
  context.font = `${12 * field.ratio}px system-ui, sans-serif`;
  context.fillText(`${at("field-caption").textContent} · ${answer.accuracy} answer · inputs ${answer.sha256.slice(0, 12)}`, 10, 50 * field.ratio);
  let x = 0;
  for (const picture of pictures.slice(0, -1)) { context.drawImage(picture, x, head); x += picture.width; }
  context.drawImage(two, 0, head + one.height);
  sheet.toBlob((blob) => { document.body.dataset.picture = String(blob.size); save(`${stem()}.png`, blob); });
}

// ---- start

let printing = false;
let ready = true; // false until a lesson's prediction is made
let lesson = null;

function listen() {
  at("undo").addEventListener("click", () => step(past, future));
  at("redo").addEventListener("click", () => step(future, past));
  at("reset").addEventListener("click", () => { moves = {}; settle(); touched(); });
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || event.target.type === "number") return;
    event.preventDefault();
    event.shiftKey ? step(future, past) : step(past, future);
  });
  at("stage").addEventListener("change", async () => {
    leaveIncrements();
    // The program has the answer still; only the fields of this stage come.
    shown = { coarse: Math.min(shown.coarse, wanted - 1), full: Math.min(shown.full, wanted - 1) };
    movedAt = performance.now();
    clearTimeout(timer);
    if (!busy) ask(answer?.accuracy === "full" && answer.number === wanted ? "full" : "coarse");
  });
  for (const id of ["quantity", "zones", "mesh"]) at(id).addEventListener("change", () => { paintFields(); paintChart(); });
  at("view").addEventListener("change", () => { field.box = null; paintFields(); });
  for (const id of ["hole", "far"]) at(id).addEventListener("change", paintChart);
  at("line").addEventListener("click", () => {
    choosing = !choosing;
    at("line").setAttribute("aria-pressed", String(choosing));
    at("reading").textContent = choosing ? "Choose the first and the second end on the plate." : "";
    if (!choosing) { line = null; paintFields(); paintChart(); }
  });
  at("increments").addEventListener("click", stepThrough);
  at("frame").addEventListener("input", () => showFrame(Number(at("frame").value)));
  at("hold").addEventListener("click", () => {
    if (!answer) return;
    const changed = Object.entries(moves).map(([id, value]) => `${told.controls.find((c) => c.id === id)?.label ?? id} ${value}`);
    held = { ...answer, words: changed.join(", ") || "as read" };
    at("drop").hidden = false;
    paintAll();
  });
  at("drop").addEventListener("click", () => { held = null; at("drop").hidden = true; paintAll(); });
  at("keep-case").addEventListener("click", () => keep("case", { moves }, `${stem()}-live.toml`, "text/plain"));
  at("keep-paths").addEventListener("click", () => keep("table", { moves, accuracy: "full", table: "paths" }, `${stem()}-paths.csv`, "text/csv"));
  at("keep-headlines").addEventListener("click", () => keep("table", { moves, accuracy: "full", table: "headlines" }, `${stem()}-headlines.csv`, "text/csv"));
  at("keep-picture").addEventListener("click", keepPicture);
  at("chart").addEventListener("pointermove", (event) => {
    const box = at("chart").getBoundingClientRect();
    const x = chart.at?.(event.clientX - box.left);
    if (x === undefined || x < 0) return;
    const words = chart.curves.filter((curve) => curve.label).map((curve) => [curve.label, along(curve.points, x)]).filter(([, y]) => y !== null);
    at("chart-reading").textContent = `${x.toFixed(2)} ${told.length}: ${words.map(([label, y]) => `${label} ${minus(y.toFixed(1))}`).join(", ")}`;
  });
  new ResizeObserver(() => frameOnce(() => { if (answer) { paintFields(); paintChart(); } })).observe(at("figure-now"));
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => { if (answer) { paintFields(); paintChart(); } });
  for (const [name, now] of [["beforeprint", true], ["afterprint", false]]) {
    addEventListener(name, () => { printing = now; if (answer) { paintFields(); paintChart(); } });
  }
  listenToField();
}

async function begin() {
  told = await start();
  document.title = `${told.title} – live`;
  at("title").textContent = told.title;
  at("subtitle").textContent = `${told.file} · ${told.metal} · lengths in ${told.length}, stresses in ${told.stress}, tension positive`;
  at("footer").textContent = `${told.program} · a two-dimensional model for study; it does not replace approved data or the judgement of a licensed engineer. Nothing leaves this machine.`;
  at("quantity").replaceChildren(...QUANTITIES.map(([key, words]) => new Option(words, key)));
  board = build(at("controls"), told.controls, moved);
  listen();
  if (told.lesson) {
    ready = false;
    at("state").textContent = "The case is computed when you have made your prediction.";
    lesson = openLesson(told.lesson, () => { ready = true; touched(); });
  }
  touched();
}

begin();
