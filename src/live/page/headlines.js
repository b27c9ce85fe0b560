// The headline numbers of the stage that is shown, with those of the state A under them.

import { rows } from "./ask.js";
import { at, make, minus } from "./page.js";
import { stage, state } from "./state.js";

const COLUMNS = [
  ["Path", null], ["Edge hoop", "edge_hoop", 1], ["Compression", "peak_compression", 1], ["at", "peak_compression_at", 3],
  ["Depth", "compression_depth", 3], ["Tension", "peak_tension", 1], ["at", "peak_tension_at", 3],
  ["Plastic to", "plastic_extent", 3], ["Reverse to", "reverse_yield_extent", 3],
];

const ofStage = (found) => (found ? rows(found.headlines).filter((row) => row.stage === stage(found).label) : []);

export function paintTable() {
  const { told, answer, held } = state;
  const inches = told.length === "in" ? 1 : 0;
  const heads = COLUMNS.map(([name, key, decimals]) => make("th", {
    scope: "col", textContent: key ? `${name}, ${decimals === 1 ? told.stress : told.length}` : name,
  }));
  at("headlines").tHead.replaceChildren(make("tr", {}, ...heads));
  const [own, others] = [ofStage(answer), ofStage(held)];
  at("headlines").tBodies[0].replaceChildren(...own.map((row) => {
    const other = others.find((o) => o.hole === row.hole && o.angle_deg === row.angle_deg);
    return make("tr", {}, ...COLUMNS.map(([, key, decimals]) => cell(row, other, key, decimals + inches)));
  }));
  at("headlines-caption").textContent = `Headline numbers after ${stage().label} (${answer.accuracy} answer)`;
}

function cell(row, other, key, decimals) {
  if (!key) return make("th", { scope: "row", textContent: `${row.hole} ${minus(row.angle_deg)}°` });
  const number = (of) => (of[key] ? minus(Number(of[key]).toFixed(decimals)) : "–");
  const found = make("td", { textContent: number(row) });
  Object.assign(found.dataset, { value: row[key], key });
  if (other) found.append(make("span", { className: "a", textContent: `A ${number(other)}` }));
  return found;
}
