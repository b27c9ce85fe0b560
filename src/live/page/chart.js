// Curves over the distance from the edge of a hole.

// Line colours that stay apart for readers who do not see red or green as others do, each with a dash of
// its own; the second of a pair is for dark paper.
export const SERIES = [
  ["#1a4c9e", "#8fb6ff", []], ["#ce5c0a", "#ffa45c", [9, 4]], ["#109492", "#4fd6d3", [2, 3]],
  ["#24202c", "#e4dff0", [12, 3, 2, 3]], ["#a856f0", "#cf9dff", [5, 3]], ["#7c3700", "#e0a070", [14, 5]],
];

const EDGE = { left: 64, right: 14, top: 12, bottom: 44 };

function ticks(low, high, most) {
  const wanted = (high - low) / most;
  const power = 10 ** Math.floor(Math.log10(wanted));
  const step = [1, 2, 5, 10].map((d) => d * power).find((s) => s >= wanted) ?? 10 * power;
  const found = [];
  for (let k = Math.ceil(low / step - 1e-9); k * step <= high + 1e-9 * step; k++) found.push(k * step);
  return { found, decimals: Math.max(0, -Math.floor(Math.log10(step) + 1e-9)) };
}

export class Chart {
  constructor(canvas) {
    this.canvas = canvas;
    this.curves = [];
  }

  // curves: { points: [[x, y] …], label, colour, dash, width, marker }; with `marker` the points stand alone.
  // The legend stands below, where residual tension leaves room, or on top.
  draw({ curves, x, y, ink, paper, grid, legendOnTop = false }) {
    this.curves = curves;
    const ratio = Math.min(2, window.devicePixelRatio || 1);
    const [width, height] = [this.canvas.clientWidth || 1, this.canvas.clientHeight || 1];
    this.canvas.width = Math.round(width * ratio);
    this.canvas.height = Math.round(height * ratio);
    const context = this.canvas.getContext("2d");
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    context.fillStyle = paper;
    context.fillRect(0, 0, width, height);
    const all = curves.flatMap((curve) => curve.points);
    if (!all.length) return;
    let [x1, y0, y1] = [0, 0, 0];
    for (const [px, py] of all) { x1 = Math.max(x1, px); y0 = Math.min(y0, py); y1 = Math.max(y1, py); }
    const room = 0.06 * (y1 - y0 || 1);
    [y0, y1] = [y0 - room, y1 + room];
    const frame = [EDGE.left, EDGE.top, width - EDGE.right, height - EDGE.bottom];
    this.spot = ([px, py]) => [
      frame[0] + (px / (x1 || 1)) * (frame[2] - frame[0]),
      frame[3] - ((py - y0) / (y1 - y0)) * (frame[3] - frame[1]),
    ];
    this.at = (pageX) => ((pageX - frame[0]) / (frame[2] - frame[0])) * (x1 || 1);
    context.font = "12px system-ui, 'Liberation Sans', sans-serif";
    this.axes(context, frame, { x1, y0, y1, x, y, ink, grid });
    context.save();
    context.beginPath();
    context.rect(frame[0], frame[1], frame[2] - frame[0], frame[3] - frame[1]);
    context.clip();
    for (const curve of curves) this.curve(context, curve);
    context.restore();
    this.legend(context, frame, ink, paper, legendOnTop);
  }

  // The values of all named curves at the place of an event, in words; null beside the curves.
  under(event, unit) {
    const x = this.at?.(event.clientX - this.canvas.getBoundingClientRect().left);
    if (x === undefined || x < 0) return null;
    const found = this.curves.filter((curve) => curve.label && !curve.marker).map((curve) => [curve.label, along(curve.points, x)]).filter(([, y]) => y !== null);
    return `${x.toFixed(2)} ${unit}: ${found.map(([label, y]) => `${label} ${y.toFixed(1).replace("-", "−")}`).join(", ")}`;
  }

  axes(context, [left, top, right, bottom], { x1, y0, y1, x, y, ink, grid }) {
    context.lineWidth = 1;
    context.setLineDash([]);
    const put = (text, px, py, align, base) => {
      context.fillStyle = ink;
      context.textAlign = align;
      context.textBaseline = base;
      context.fillText(text.replace("-", "−"), px, py);
    };
    const line = (a, b, colour) => {
      context.strokeStyle = colour;
      context.beginPath();
      context.moveTo(...a);
      context.lineTo(...b);
      context.stroke();
    };
    const across = ticks(0, x1 || 1, 8);
    for (const value of across.found) {
      const [px] = this.spot([value, 0]);
      line([px, top], [px, bottom], grid);
      put(value.toFixed(across.decimals), px, bottom + 6, "center", "top");
    }
    const up = ticks(y0, y1, 7);
    for (const value of up.found) {
      const [, py] = this.spot([0, value]);
      line([left, py], [right, py], value === 0 ? ink : grid);
      put(value.toFixed(up.decimals), left - 6, py, "right", "middle");
    }
    line([left, top], [left, bottom], ink);
    line([left, bottom], [right, bottom], ink);
    put(x, (left + right) / 2, bottom + 24, "center", "top");
    context.save();
    context.translate(12, (top + bottom) / 2);
    context.rotate(-Math.PI / 2);
    put(y, 0, 0, "center", "middle");
    context.restore();
  }

  curve(context, { points, colour, dash, width, marker }) {
    if (marker) {
      for (const point of points) this.marker(context, this.spot(point), colour);
      return;
    }
    context.beginPath();
    points.forEach((point, k) => (k ? context.lineTo(...this.spot(point)) : context.moveTo(...this.spot(point))));
    context.strokeStyle = colour;
    context.lineWidth = width ?? 2;
    context.setLineDash(dash ?? []);
    context.stroke();
    context.setLineDash([]);
  }

  // A measured point: an open circle.
  marker(context, [x, y], colour) {
    context.beginPath();
    context.arc(x, y, 3.5, 0, 2 * Math.PI);
    context.strokeStyle = colour;
    context.lineWidth = 1.5;
    context.setLineDash([]);
    context.stroke();
  }

  legend(context, [, top, right, bottom], ink, paper, onTop) {
    const named = this.curves.filter((curve) => curve.label);
    const wide = Math.max(0, ...named.map((curve) => context.measureText(curve.label).width)) + 46;
    const tall = 18 * named.length + 8;
    const [x, y] = [right - wide - 4, onTop ? top + 4 : bottom - tall - 6];
    if (bottom - top < tall || !named.length) return;
    context.globalAlpha = 0.85;
    context.fillStyle = paper;
    context.fillRect(x, y, wide, tall);
    context.globalAlpha = 1;
    named.forEach((curve, k) => {
      const middle = y + 13 + 18 * k;
      if (curve.marker) {
        this.marker(context, [x + 20, middle], curve.colour);
      } else {
        context.beginPath();
        context.moveTo(x + 6, middle);
        context.lineTo(x + 34, middle);
        context.strokeStyle = curve.colour;
        context.lineWidth = curve.width ?? 2;
        context.setLineDash(curve.dash ?? []);
        context.stroke();
        context.setLineDash([]);
      }
      context.fillStyle = ink;
      context.textAlign = "left";
      context.textBaseline = "middle";
      context.fillText(curve.label, x + 40, middle);
    });
  }
}

// Value of a curve at x, straight between its points; null beyond its ends.
export function along(points, x) {
  for (let k = 1; k < points.length; k++) {
    const [[x0, y0], [x1, y1]] = [points[k - 1], points[k]];
    if (x >= x0 && x <= x1 && x1 > x0) return y0 + ((x - x0) / (x1 - x0)) * (y1 - y0);
  }
  return null;
}
