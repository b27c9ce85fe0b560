// Keeping a state: case file, tables, picture.

import { save, text } from "./ask.js";
import { answered } from "./asking.js";
import { at, style } from "./page.js";
import { state } from "./state.js";
import { field } from "./view.js";

const stem = () => state.told.file.split(/[/\\]/).pop().replace(/\.toml$/, "") || "case";

// A table is that of the full answer, so it waits for that.
export async function keepTable(table, ending, { wait, said, ...question }) {
  await answered(wait);
  await keep("table", { accuracy: "full", table, ...question }, ending, "text/csv", said);
}

async function keep(name, question, ending, type, said = "state") {
  try {
    save(`${stem()}${ending}`, await text(name, { moves: state.moves, ...question }), type);
  } catch (error) {
    at(said).textContent = `Not kept: ${error.message}`;
  }
}

function keepPicture() {
  const [one, two] = [at("field"), at("chart")];
  const fields = state.held && !state.scrub ? [at("held"), one] : [one];
  const sheet = document.createElement("canvas");
  const head = 70 * field.ratio;
  sheet.width = Math.max(fields.reduce((sum, canvas) => sum + canvas.width, 0), two.width);
  sheet.height = head + one.height + two.height;
  const context = sheet.getContext("2d");
  context.fillStyle = style("--paper");
  context.fillRect(0, 0, sheet.width, sheet.height);
  context.fillStyle = style("--ink");
  context.font = `${18 * field.ratio}px system-ui, sans-serif`;
  context.fillText(state.told.title, 10, 26 * field.ratio);
  context.font = `${12 * field.ratio}px system-ui, sans-serif`;
  context.fillText(`${at("field-caption").textContent} · ${state.answer.accuracy} answer · inputs ${state.answer.sha256.slice(0, 12)}`, 10, 50 * field.ratio);
  let x = 0;
  for (const canvas of fields) { context.drawImage(canvas, x, head); x += canvas.width; }
  context.drawImage(two, 0, head + one.height);
  sheet.toBlob((blob) => { document.body.dataset.picture = String(blob.size); save(`${stem()}.png`, blob); });
}

export function listen() {
  at("keep-case").addEventListener("click", () => keep("case", {}, "-live.toml", "text/plain"));
  for (const table of ["paths", "headlines"]) {
    at(`keep-${table}`).addEventListener("click", () => keepTable(table, `-${table}.csv`, { wait: "full" }));
  }
  at("keep-picture").addEventListener("click", () => { if (state.answer) keepPicture(); });
}
