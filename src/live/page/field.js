// The plate: colours of a field, borders of zones, paths, and the value under a point.
// A picture is filled triangle by triangle, so it needs no graphics card.

export const QUANTITIES = [
  ["hoop", "Hoop stress", "stress"], ["radial", "Radial stress", "stress"],
  ["shear", "Shear stress", "stress"], ["axial", "Stress through the thickness", "stress"],
  ["von_mises", "Equivalent stress (von Mises)", "stress"],
  ["plastic", "Equivalent plastic strain", "percent"],
  ["reverse", "Plastic strain of reverse yielding", "percent"],
  ["ux", "Displacement along x", "length"], ["uy", "Displacement along y", "length"],
];

const BAR = 92; // width of the colour bar with its labels
const MOST = 10; // bands on either side of zero

// Bands of a round width that cover the values, the same on both sides of zero.
export function levels(low, high) {
  const size = Math.max(Math.abs(low), Math.abs(high));
  if (!(size > 0)) return { step: 1, steps: 1 };
  const wanted = size / MOST;
  const power = 10 ** Math.floor(Math.log10(wanted));
  const step = [1, 2, 5, 10].map((d) => d * power).find((s) => s >= wanted * (1 - 1e-9)) ?? 10 * power;
  return { step, steps: Math.ceil((size / step) * (1 - 1e-9)) };
}

export function range(values) {
  let [low, high] = [Infinity, -Infinity];
  for (const value of values) { if (value < low) low = value; if (value > high) high = value; }
  return [low, high];
}

// Nodes and triangles with the copies that mirror lines add.
function copies(symmetry) {
  let all = [[1, 0, 1, 0]];
  if (symmetry.x !== null) all = all.flatMap((c) => [c, [-1, 2 * symmetry.x, c[2], c[3]]]);
  if (symmetry.y !== null) all = all.flatMap((c) => [c, [c[0], c[1], -1, 2 * symmetry.y]]);
  return all;
}

export function bounds({ nodes, symmetry }) {
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [fx, cx, fy, cy] of copies(symmetry)) {
    for (let k = 0; k < nodes.length; k += 2) {
      const [x, y] = [cx + fx * nodes[k], cy + fy * nodes[k + 1]];
      box[0] = Math.min(box[0], x); box[1] = Math.min(box[1], y);
      box[2] = Math.max(box[2], x); box[3] = Math.max(box[3], y);
    }
  }
  return box;
}

export class FieldPicture {
  constructor(canvas) {
    this.canvas = canvas;
    this.plate = null; // { nodes, triangles, outline, symmetry }
    this.values = null; // drawn values, one a node, in printed units
    this.box = null; // [x0, y0, x1, y1] that is shown
  }

  // Pixels of the screen for one pixel of the page.
  get ratio() { return Math.min(2, window.devicePixelRatio || 1); }

  place() {
    const { clientWidth: width, clientHeight: height } = this.canvas;
    const ratio = this.ratio;
    this.size = [Math.max(1, width), Math.max(1, height)];
    const [w, h] = this.size.map((s) => Math.round(s * ratio));
    if (this.canvas.width !== w || this.canvas.height !== h) { this.canvas.width = w; this.canvas.height = h; }
    const [x0, y0, x1, y1] = this.box;
    const scale = Math.min((this.size[0] - BAR) / (x1 - x0), this.size[1] / (y1 - y0)) * 0.97;
    this.scale = scale;
    this.middle = [(x0 + x1) / 2, (y0 + y1) / 2];
    this.centre = [(this.size[0] - BAR) / 2, this.size[1] / 2];
  }

  toPage([x, y]) {
    return [this.centre[0] + this.scale * (x - this.middle[0]), this.centre[1] - this.scale * (y - this.middle[1])];
  }

  toPlate([x, y]) {
    return [this.middle[0] + (x - this.centre[0]) / this.scale, this.middle[1] - (y - this.centre[1]) / this.scale];
  }

  draw({ colours, bands, ink, paper, unit, zones, meshLines, marks }) {
    if (!this.plate || !this.values) return;
    this.place();
    const context = this.canvas.getContext("2d");
    const ratio = this.ratio;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.fillStyle = paper;
    context.fillRect(0, 0, this.canvas.width, this.canvas.height);
    this.fill(context, colours, bands);
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    context.lineJoin = "round";
    if (meshLines) this.lines(context, this.plate.triangles, "rgba(60,66,76,0.35)", 0.6, true);
    this.lines(context, this.plate.outline, ink, 1.4, false);
    for (const { values, colour } of zones) this.border(context, values, colour);
    for (const mark of marks) this.mark(context, mark, ink, paper);
    // The plate may reach under the bar.
    context.fillStyle = paper;
    context.fillRect(this.size[0] - BAR + 4, 0, BAR, this.size[1]);
    this.bar(context, colours, bands, ink, unit);
  }

  // Fills the bands.
  fill(context, colours, { step, steps }) {
    const { width, height } = this.canvas;
    const image = context.getImageData(0, 0, width, height);
    const pixels = new Uint32Array(image.data.buffer);
    const palette = new Uint32Array(2 * steps);
    for (let k = -steps; k < steps; k++) {
      const [r, g, b] = colours[Math.round(((k + 0.5) / steps + 1) * 128)];
      palette[k + steps] = (255 << 24) | (b << 16) | (g << 8) | r;
    }
    const { nodes, triangles, symmetry } = this.plate;
    const count = nodes.length / 2;
    const [sx, sy] = [new Float32Array(count), new Float32Array(count)];
    const ratio = this.ratio;
    for (const [fx, cx, fy, cy] of copies(symmetry)) {
      for (let k = 0; k < count; k++) {
        sx[k] = ratio * (this.centre[0] + this.scale * (cx + fx * nodes[2 * k] - this.middle[0])) - 0.5;
        sy[k] = ratio * (this.centre[1] - this.scale * (cy + fy * nodes[2 * k + 1] - this.middle[1])) - 0.5;
      }
      for (let t = 0; t < triangles.length; t += 3) {
        this.triangle(pixels, width, height, sx, sy, triangles[t], triangles[t + 1], triangles[t + 2], palette, step, steps);
      }
    }
    context.putImageData(image, 0, 0);
  }

  triangle(pixels, width, height, sx, sy, a, b, c, palette, step, steps) {
    const [ax, ay, bx, by, cx, cy] = [sx[a], sy[a], sx[b], sy[b], sx[c], sy[c]];
    const top = Math.max(0, Math.ceil(Math.min(ay, by, cy)));
    const bottom = Math.min(height - 1, Math.floor(Math.max(ay, by, cy)));
    if (top > bottom || Math.max(ax, bx, cx) < 0 || Math.min(ax, bx, cx) >= width) return;
    const area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay);
    if (area === 0) return;
    const [va, vb, vc] = [this.values[a], this.values[b], this.values[c]];
    const dx = ((vb - va) * (cy - ay) - (vc - va) * (by - ay)) / area / step;
    const dy = ((vc - va) * (bx - ax) - (vb - va) * (cx - ax)) / area / step;
    for (let y = top; y <= bottom; y++) {
      let [left, right] = [Infinity, -Infinity];
      const cut = (px, py, qx, qy) => {
        if ((py <= y) === (qy <= y)) return;
        const x = px + ((y - py) / (qy - py)) * (qx - px);
        if (x < left) left = x;
        if (x > right) right = x;
      };
      cut(ax, ay, bx, by); cut(bx, by, cx, cy); cut(cx, cy, ax, ay);
      const from = Math.max(0, Math.ceil(left - 1e-3));
      const to = Math.min(width - 1, Math.floor(right + 1e-3));
      let value = va / step + dx * (from - ax) + dy * (y - ay) + steps;
      const row = y * width;
      for (let x = from; x <= to; x++) {
        const band = value < 0 ? 0 : value >= 2 * steps ? 2 * steps - 1 : value | 0;
        pixels[row + x] = palette[band];
        value += dx;
      }
    }
  }

  // Strokes pairs of nodes, or the sides of triangles.
  lines(context, list, colour, width, sides) {
    const { nodes, symmetry } = this.plate;
    context.beginPath();
    for (const [fx, cx, fy, cy] of copies(symmetry)) {
      const spot = (k) => this.toPage([cx + fx * nodes[2 * k], cy + fy * nodes[2 * k + 1]]);
      const stride = sides ? 3 : 2;
      for (let k = 0; k < list.length; k += stride) {
        context.moveTo(...spot(list[k]));
        context.lineTo(...spot(list[k + 1]));
        if (sides) { context.lineTo(...spot(list[k + 2])); context.closePath(); }
      }
    }
    context.setLineDash([]);
    context.strokeStyle = colour;
    context.lineWidth = width;
    context.stroke();
  }

  // The line on which values are zero.
  border(context, values, colour) {
    if (!values) return;
    const { nodes, triangles, symmetry } = this.plate;
    context.beginPath();
    for (const [fx, cx, fy, cy] of copies(symmetry)) {
      for (let t = 0; t < triangles.length; t += 3) {
        const ends = [];
        for (let side = 0; side < 3; side++) {
          const [p, q] = [triangles[t + side], triangles[t + ((side + 1) % 3)]];
          const [u, v] = [values[p], values[q]];
          if ((u > 0) === (v > 0)) continue;
          const s = u / (u - v);
          ends.push(this.toPage([
            cx + fx * (nodes[2 * p] + s * (nodes[2 * q] - nodes[2 * p])),
            cy + fy * (nodes[2 * p + 1] + s * (nodes[2 * q + 1] - nodes[2 * p + 1])),
          ]));
        }
        if (ends.length === 2) { context.moveTo(...ends[0]); context.lineTo(...ends[1]); }
      }
    }
    context.setLineDash([]);
    context.strokeStyle = "rgba(255,255,255,0.85)";
    context.lineWidth = 3.6;
    context.stroke();
    context.strokeStyle = colour;
    context.lineWidth = 1.8;
    context.stroke();
  }

  // A line with its ends, or a cross where a value is read.
  mark(context, { from, to, at, colour }, ink, paper) {
    const stroke = (path) => {
      context.beginPath();
      path();
      context.strokeStyle = paper;
      context.lineWidth = 4;
      context.stroke();
      context.strokeStyle = colour ?? ink;
      context.lineWidth = 1.8;
      context.stroke();
    };
    if (at) {
      const [x, y] = this.toPage(at);
      stroke(() => { context.moveTo(x - 8, y); context.lineTo(x + 8, y); context.moveTo(x, y - 8); context.lineTo(x, y + 8); });
    }
    if (from && to) stroke(() => { context.moveTo(...this.toPage(from)); context.lineTo(...this.toPage(to)); });
    for (const end of [from, to]) {
      if (end) { const [x, y] = this.toPage(end); stroke(() => context.arc(x, y, 4, 0, 7)); }
    }
  }

  bar(context, colours, { step, steps }, ink, unit) {
    const [x, top, width] = [this.size[0] - BAR + 12, 26, 16];
    const height = this.size[1] - top - 14;
    const [low, high] = range(this.values);
    const first = Math.max(-steps, Math.floor(low / step + 1e-9));
    const last = Math.min(steps - 1, Math.max(first, Math.ceil(high / step - 1e-9) - 1));
    const each = height / (last - first + 1);
    context.font = "12px system-ui, 'Liberation Sans', sans-serif";
    context.textBaseline = "middle";
    context.textAlign = "left";
    const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
    for (let k = first; k <= last + 1; k++) {
      const y = top + height - (k - first) * each;
      if (k <= last) {
        const [r, g, b] = colours[Math.round(((k + 0.5) / steps + 1) * 128)];
        context.fillStyle = `rgb(${r},${g},${b})`;
        context.fillRect(x, y - each, width, each + 0.5);
      }
      context.fillStyle = ink;
      context.fillText((k * step).toFixed(decimals).replace("-", "−"), x + width + 6, y);
    }
    context.strokeStyle = ink;
    context.lineWidth = 1;
    context.strokeRect(x, top, width, height);
    context.fillText(unit, x, 10);
  }

  // The triangle at a point of the plate, and shares of its corners; null outside the metal.
  locate(point) {
    const { nodes, triangles, symmetry } = this.plate;
    for (const [fx, cx, fy, cy] of copies(symmetry)) {
      const [x, y] = [fx * (point[0] - cx), fy * (point[1] - cy)];
      for (let t = 0; t < triangles.length; t += 3) {
        const [a, b, c] = [2 * triangles[t], 2 * triangles[t + 1], 2 * triangles[t + 2]];
        const [ax, ay] = [nodes[a], nodes[a + 1]];
        const [ux, uy, vx, vy] = [nodes[b] - ax, nodes[b + 1] - ay, nodes[c] - ax, nodes[c + 1] - ay];
        const area = ux * vy - vx * uy;
        const s = ((x - ax) * vy - vx * (y - ay)) / area;
        if (s < -1e-6 || s > 1 + 1e-6) continue;
        const r = (ux * (y - ay) - (x - ax) * uy) / area;
        if (r < -1e-6 || s + r > 1 + 1e-6) continue;
        return { corners: [a / 2, b / 2, c / 2], shares: [1 - s - r, s, r] };
      }
    }
    return null;
  }
}

// A nodal value at a located point.
export function valueAt(values, { corners, shares }) {
  return corners.reduce((sum, corner, k) => sum + shares[k] * values[corner], 0);
}
