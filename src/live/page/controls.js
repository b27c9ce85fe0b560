// Sliders, fields and choices of the case.

const decimals = (step) => Math.max(0, -Math.floor(Math.log10(step) + 1e-9));

// Builds the controls into `parent`. `moved(id, value, settled)` is told of every move.
export function build(parent, list, moved) {
  const all = new Map();
  for (const control of list) {
    const box = document.createElement("div");
    box.className = "control";
    const label = document.createElement("label");
    const id = `control-${control.id}`;
    label.htmlFor = id;
    label.textContent = control.label;
    box.append(label);
    const entry = control.kind.slider
      ? slider(box, id, control, control.kind.slider, moved)
      : choice(box, id, control, control.kind.choice, moved);
    all.set(control.id, { ...entry, box });
    parent.append(box);
  }
  return {
    // Puts every control where `moves` has it, else where the case has it.
    show(moves) {
      for (const [id, { set, first, box }] of all) {
        set(moves[id] ?? first);
        box.classList.toggle("moved", id in moves);
      }
    },
  };
}

function slider(box, id, control, { low, high, step, value }, moved) {
  const [bar, field, unit] = ["input", "input", "span"].map((name) => document.createElement(name));
  // The place that the case has need not be one of the steps.
  Object.assign(bar, { type: "range", min: low, max: high, step: "any", id: `${id}-bar` });
  bar.setAttribute("aria-label", `${control.label}, slider`);
  Object.assign(field, { type: "number", step: "any", id });
  unit.textContent = control.unit;
  unit.className = "soft";
  const round = (number) => Number((Math.round(number / step) * step).toFixed(decimals(step)));
  const set = (number) => {
    bar.value = number;
    const printed = Number(number.toFixed(decimals(step) + 1));
    if (document.activeElement !== field) field.value = printed;
    bar.setAttribute("aria-valuetext", `${printed} ${control.unit}`);
  };
  bar.addEventListener("input", () => { const now = round(Number(bar.value)); field.value = now; moved(control.id, now, false); });
  bar.addEventListener("change", () => moved(control.id, round(Number(bar.value)), true));
  // With a step of "any" the arrow keys would take a hundredth of the range.
  bar.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 }[event.key];
    if (!way) return;
    event.preventDefault();
    const next = Math.min(high, Math.max(low, round(Number(bar.value)) + way * step));
    set(round(next));
    field.value = round(next);
    moved(control.id, round(next), true);
  });
  field.addEventListener("change", () => {
    const number = Number(field.value);
    if (field.value.trim() !== "" && Number.isFinite(number)) { bar.value = number; moved(control.id, number, true); }
  });
  box.append(bar, field, unit);
  return { set, first: value };
}

function choice(box, id, control, { options, value }, moved) {
  const select = document.createElement("select");
  select.id = id;
  for (const option of options) select.append(new Option(option, option));
  select.addEventListener("change", () => moved(control.id, select.value, true));
  box.append(select);
  return { set: (word) => { select.value = word; }, first: value };
}
