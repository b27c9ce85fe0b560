// The document: elements by name, words, repainting no more than once a frame.

export const at = (id) => document.getElementById(id);
export const minus = (word) => String(word).replace("-", "−");

// Colours of the drawings on paper; the style sheet knows of the paper only when they are drawn already.
const PAPER = { "--ink": "#000000", "--soft": "#333333", "--line": "#bbbbbb", "--paper": "#ffffff" };
let printing = false;

export const style = (name) => (printing && PAPER[name]) || getComputedStyle(document.documentElement).getPropertyValue(name).trim();

// An element with properties and children.
export function make(name, more = {}, ...children) {
  const element = Object.assign(document.createElement(name), more);
  element.append(...children);
  return element;
}

// Options of a choice, exchanged only when they changed.
export function fill(select, entries, value) {
  const same = select.options.length === entries.length && entries.every(([key], k) => select.options[k].value === key);
  if (!same) select.replaceChildren(...entries.map(([key, words]) => new Option(words, key)));
  select.value = value;
}

// Does `work` before the next frame, once however often it is asked for.
const framed = new Set();
export function frameOnce(work) {
  if (framed.has(work)) return;
  framed.add(work);
  requestAnimationFrame(() => { framed.delete(work); work(); });
}

// Calls `work` when the colours change: dark or light, screen or paper.
export function whenColours(work) {
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", work);
  for (const [name, now] of [["beforeprint", true], ["afterprint", false]]) {
    addEventListener(name, () => { printing = now; work(); });
  }
}

export const isDark = () => matchMedia("(prefers-color-scheme: dark)").matches && !printing;
