// Values under the pointer, or under the cross that the arrow keys move; dragging and zooming the picture.

import { QUANTITIES, valueAt } from "./field.js";
import { at, frameOnce, minus } from "./page.js";
import { state, tell } from "./state.js";
import { field, look, source, zoom } from "./view.js";

const STILL = 5; // pixels that a pointer may move and still click
const [STEP, LEAP] = [4, 24]; // pixels by which the arrow keys move the cross

// Says what is at the place that is read.
export function read() {
  const { probe, told } = state;
  if (!probe || !field.plate) return;
  const found = field.locate(probe);
  const place = `x ${minus(probe[0].toFixed(3))}, y ${minus(probe[1].toFixed(3))} ${told.length}`;
  if (!found) { at("reading").textContent = `${place}: no metal here.`; return; }
  const { found: { arrays }, prefix } = source();
  const words = QUANTITIES.map(([key, name, kind]) => {
    const value = valueAt(arrays[`${prefix}${key}`], found);
    const printed = kind === "stress" ? `${value.toFixed(1)} ${told.stress}` : kind === "percent" ? `${(100 * value).toFixed(3)} %` : `${value.toFixed(4)} ${told.length}`;
    return `${name.toLowerCase()} ${minus(printed)}`;
  });
  at("reading").textContent = `${place}: ${words.join("; ")}.`;
}

function pagePoint(event) {
  const box = at("field").getBoundingClientRect();
  return [event.clientX - box.left, event.clientY - box.top];
}

const painted = () => tell("fields");

// `choose(place)` takes an end of a path of one's own.
export function listen(choose) {
  listenToPointer(choose);
  const canvas = at("field");
  canvas.addEventListener("wheel", (event) => {
    event.preventDefault();
    if (state.answer) zoom(event.deltaY > 0 ? 1.15 : 1 / 1.15, field.toPlate(pagePoint(event)));
  }, { passive: false });
  canvas.addEventListener("keydown", (event) => {
    if (!state.answer || event.ctrlKey || event.metaKey) return;
    const by = (event.shiftKey ? LEAP : STEP) / field.scale;
    const way = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, by], ArrowDown: [0, -by] }[event.key];
    state.probe ??= [...field.middle];
    const { probe } = state;
    if (way) state.probe = [probe[0] + way[0], probe[1] + way[1]];
    else if (event.key === "+" || event.key === "=") zoom(1 / 1.3, probe);
    else if (event.key === "-") zoom(1.3, probe);
    else if (event.key === "Enter") choose(probe);
    else return;
    event.preventDefault();
    painted();
  });
}

function listenToPointer(choose) {
  const canvas = at("field");
  let drag = null;
  canvas.addEventListener("pointerdown", (event) => {
    if (!state.answer) return;
    drag = { from: pagePoint(event), box: [...field.box], far: false };
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!state.answer) return;
    const now = pagePoint(event);
    if (!drag) {
      if (!state.choosing) { state.probe = field.toPlate(now); frameOnce(painted); }
      return;
    }
    const [dx, dy] = [now[0] - drag.from[0], now[1] - drag.from[1]];
    if (!drag.far && Math.hypot(dx, dy) <= STILL) return;
    drag.far = true;
    const [mx, my] = [dx / field.scale, dy / field.scale];
    look([drag.box[0] - mx, drag.box[1] + my, drag.box[2] - mx, drag.box[3] + my]);
  });
  canvas.addEventListener("pointerup", (event) => {
    if (drag && !drag.far) {
      state.probe = field.toPlate(pagePoint(event));
      if (state.choosing) choose(state.probe);
      painted();
    }
    drag = null;
  });
}
