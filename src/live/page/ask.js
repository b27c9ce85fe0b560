// Questions to the program, and the arrays that come back.

const KINDS = { f32: Float32Array, f64: Float64Array, u32: Uint32Array };

// A number of this page's own; the program drops its older questions when a newer one comes.
export const page = Math.floor(Math.random() * Number.MAX_SAFE_INTEGER);

// What the program said when it had no answer.
export class Refusal extends Error {
  constructor(told) {
    super(told.error);
    this.superseded = told.superseded ?? false;
    this.hint = told.hint ?? "";
  }
}

async function post(name, question, signal) {
  const body = JSON.stringify({ page, ...question });
  const response = await fetch(name, { method: "POST", body, signal });
  if (!response.ok) throw new Refusal({ error: `the program answers ${response.status}` });
  // A question that was understood and has no answer.
  if (response.headers.get("content-type") === "application/problem+json") throw new Refusal(await response.json());
  return response;
}

export async function start() {
  return (await fetch("start")).json();
}

export async function text(name, question) {
  return (await post(name, question)).text();
}

export async function json(name, question) {
  return (await post(name, question)).json();
}

// The head of an answer, with its arrays by name.
export async function arrays(name, question, signal) {
  const buffer = await (await post(name, question, signal)).arrayBuffer();
  const length = new DataView(buffer).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, length)));
  const base = 4 + length;
  const found = {};
  for (const { name: key, type, at, length: count } of head.arrays) {
    found[key] = new KINDS[type](buffer, base + at, count);
  }
  return { ...head, arrays: found };
}

// Rows of a table without quoted commas in its numbers.
export function rows(csv) {
  const lines = csv.trim().split("\n").map((line) => line.split(","));
  const names = lines.shift() ?? [];
  return lines.map((cells) => Object.fromEntries(names.map((name, k) => [name, cells[k]])));
}

export function save(name, content, type) {
  const blob = content instanceof Blob ? content : new Blob([content], { type });
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}
