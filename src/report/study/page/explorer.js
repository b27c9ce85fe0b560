// The chart and the table of a study, over the data inside the page.
(function () {
  "use strict";
  const data = JSON.parse(document.getElementById("data").textContent);
  const names = data.columns.map((column) => column.name);
  const at = (name) => names.indexOf(name);
  const shown = (value) =>
    value === null ? "–" : typeof value === "number"
      ? String(Number(value.toPrecision(6))).replace("-", "−") : value;
  const make = (kind, attributes, text) => {
    const one = document.createElement(kind);
    for (const key in attributes) one.setAttribute(key, attributes[key]);
    if (text !== undefined) one.textContent = text;
    return one;
  };
  const draw = (kind, attributes, text) => {
    const one = document.createElementNS("http://www.w3.org/2000/svg", kind);
    for (const key in attributes) one.setAttribute(key, attributes[key]);
    if (text !== undefined) one.textContent = text;
    return one;
  };
  const values = (name) => [...new Set(data.rows.map((row) => row[at(name)]))];
  const colours = ["#1a4c9e", "#ce5c0a", "#109492", "#24202c", "#a856f0", "#7c3700"];

  function explorer() {
    const place = document.getElementById("explorer");
    place.textContent = "";
    const controls = make("p");
    const picture = draw("svg", { viewBox: "0 0 900 480", role: "group", "aria-label": "The cases of the study as marks; each can be reached by Tab" });
    const tip = make("p", { class: "tip", "aria-live": "polite" }, "Point at a mark to read its case.");
    place.append(controls, picture, tip);
    const choice = (words, options, first) => {
      const label = make("label", {}, words + " ");
      const select = make("select");
      options.forEach((option) => select.append(make("option", { value: option }, option || "–")));
      select.value = first === undefined ? options[0] : first;
      select.addEventListener("change", paint);
      label.append(select);
      controls.append(label);
      return select;
    };
    const numeric = data.axes.filter((name) => data.columns[at(name)].kind === "number");
    const second = data.axes.find((name) => name !== numeric[0]) || "";
    const number = choice("number", data.numbers);
    const right = choice("over", numeric.concat(data.numbers), numeric[0] || data.numbers[0]);
    const family = choice("colour", [""].concat(data.axes), second);
    // On a grid the other axes are held; many values are those of a Latin hypercube, left free.
    const held = data.axes.filter((name) => values(name).length <= 40)
      .map((name) => [name, choice(name, ["all"].concat(values(name).map(String)), "all")]);
    held.forEach(([name, select]) => {
      if (name !== numeric[0] && name !== second && values(name).length > 1) {
        select.value = String(values(name)[0]);
      }
    });

    function paint() {
      const [x, y, f] = [at(right.value), at(number.value), at(family.value)];
      const rows = data.rows.filter((row) => row[x] !== null && row[y] !== null &&
        held.every(([name, select]) => select.value === "all" || String(row[at(name)]) === select.value));
      picture.textContent = "";
      const [left, top, width, height] = [84, 16, 620, 410];
      if (rows.length === 0) {
        picture.append(draw("text", { x: 300, y: 200 }, "no such case"));
        return;
      }
      const range = (k) => {
        const all = rows.map((row) => row[k]);
        const [low, high] = [Math.min(...all), Math.max(...all)];
        const pad = high > low ? 0.05 * (high - low) : Math.abs(high) * 0.05 || 1;
        return [low - pad, high + pad];
      };
      const [[x0, x1], [y0, y1]] = [range(x), range(y)];
      const px = (value) => left + ((value - x0) / (x1 - x0)) * width;
      const py = (value) => top + height - ((value - y0) / (y1 - y0)) * height;
      const ticks = (low, high) => {
        const raw = (high - low) / 6;
        const power = 10 ** Math.floor(Math.log10(raw));
        const step = [1, 2, 5, 10].map((k) => k * power).find((k) => k >= raw);
        const found = [];
        for (let k = Math.ceil(low / step); k * step <= high; k += 1) found.push(k * step);
        return found;
      };
      ticks(x0, x1).forEach((value) => {
        picture.append(draw("line", { x1: px(value), x2: px(value), y1: top, y2: top + height, stroke: "#dee0e4" }));
        picture.append(draw("text", { x: px(value), y: top + height + 18, "text-anchor": "middle" }, shown(value)));
      });
      ticks(y0, y1).forEach((value) => {
        picture.append(draw("line", { x1: left, x2: left + width, y1: py(value), y2: py(value), stroke: "#dee0e4" }));
        picture.append(draw("text", { x: left - 8, y: py(value) + 4, "text-anchor": "end" }, shown(value)));
      });
      picture.append(draw("rect", { x: left, y: top, width, height, fill: "none", stroke: "#1c1e24" }));
      const unit = (k) => data.columns[k].unit === "1" ? "" : ` (${data.columns[k].unit})`;
      picture.append(draw("text", { x: left + width / 2, y: top + height + 42, "text-anchor": "middle" }, right.value + unit(x)));
      picture.append(draw("text", { x: 18, y: top + height / 2, "text-anchor": "middle", transform: `rotate(-90 18 ${top + height / 2})` }, number.value + unit(y)));
      const groups = new Map();
      rows.forEach((row) => {
        const key = f < 0 ? "" : row[f];
        if (!groups.has(key)) groups.set(key, []);
        groups.get(key).push(row);
      });
      let k = 0;
      const lines = groups.size <= 40;
      for (const [key, group] of groups) {
        const colour = colours[k % colours.length];
        group.sort((a, b) => a[x] - b[x]);
        const single = new Set(group.map((row) => row[x])).size === group.length;
        if (lines && single && group.length > 1) {
          picture.append(draw("polyline", { points: group.map((row) => `${px(row[x])},${py(row[y])}`).join(" "), fill: "none", stroke: colour, "stroke-width": 2 }));
        }
        group.forEach((row) => {
          const words = names.map((name, n) => `${name} ${shown(row[n])}`).filter((_, n) => row[n] !== "" && (n < 3 + data.axes.length || n === x || n === y)).join(" · ");
          const mark = draw("circle", { cx: px(row[x]), cy: py(row[y]), r: 5, fill: colour, tabindex: 0, role: "img", "aria-label": words });
          mark.append(draw("title", {}, words));
          ["mouseenter", "focus", "click"].forEach((event) => mark.addEventListener(event, () => { tip.textContent = words; }));
          picture.append(mark);
        });
        if (k < 18 && family.value) {
          picture.append(draw("circle", { cx: left + width + 22, cy: top + 14 + 22 * k, r: 5, fill: colour }));
          picture.append(draw("text", { x: left + width + 34, y: top + 18 + 22 * k }, shown(key)));
        }
        k += 1;
      }
    }
    paint();
  }

  function table() {
    const place = document.getElementById("cases");
    place.textContent = "";
    const count = make("p", { role: "status" });
    const csv = make("p", { class: "csv" });
    const save = make("a", { download: "cases.csv", href: "#", "aria-label": "Save the cases shown as CSV" }, "CSV");
    csv.append(save);
    let rows = [];
    save.addEventListener("click", () => {
      const quoted = (value) => value === null ? "" : /[",\n]/.test(value) ? `"${String(value).replace(/"/g, '""')}"` : value;
      const lines = [names].concat(rows).map((row) => row.map(quoted).join(",") + "\n");
      URL.revokeObjectURL(save.href);
      save.href = URL.createObjectURL(new Blob(lines, { type: "text/csv" }));
    });
    const scroll = make("div", { class: "scroll", role: "group", "aria-label": "Table of all cases", tabindex: 0 });
    const grid = make("table");
    const [head, filters, body] = [make("tr"), make("tr"), make("tbody")];
    const top = make("thead");
    top.append(head, filters);
    grid.append(top, body);
    scroll.append(grid);
    place.append(make("p", {}, "A click on a heading sorts. A filter is a text, or a comparison such as <= -200."), count, scroll, csv);
    let order = 0;
    let down = false;
    const inputs = data.columns.map((column, k) => {
      const cell = make("th", { title: `${column.meaning}${column.unit && column.unit !== "1" ? `, ${column.unit}` : ""}`, scope: "col" });
      const sort = make("button", { type: "button" }, column.name);
      cell.append(sort);
      sort.addEventListener("click", () => { down = order === k && !down; order = k; paint(); });
      head.append(cell);
      const input = make("input", { "aria-label": `filter of ${column.name}` });
      input.addEventListener("input", paint);
      const holder = make("td");
      holder.append(input);
      filters.append(holder);
      return input;
    });
    const passes = (value, filter) => {
      const sign = /^\s*(<=|>=|<|>|=)\s*(-?[0-9.eE+-]+)\s*$/.exec(filter.replace("−", "-"));
      if (!sign) return String(value === null ? "" : value).toLowerCase().includes(filter.trim().toLowerCase());
      if (typeof value !== "number") return false;
      const bound = Number(sign[2]);
      return { "<": value < bound, "<=": value <= bound, ">": value > bound, ">=": value >= bound, "=": value === bound }[sign[1]];
    };
    function paint() {
      rows = data.rows.filter((row) => inputs.every((input, k) => !input.value || passes(row[k], input.value)));
      rows.sort((a, b) => {
        const [one, other] = [a[order], b[order]];
        if (one === other) return 0;
        if (one === null) return 1;
        if (other === null) return -1;
        return (one < other ? -1 : 1) * (down ? -1 : 1);
      });
      [...head.children].forEach((cell, k) => {
        if (k === order) cell.setAttribute("aria-sort", down ? "descending" : "ascending");
        else cell.removeAttribute("aria-sort");
      });
      body.textContent = "";
      rows.slice(0, 2000).forEach((row) => {
        const line = make("tr", { class: row[1] });
        row.forEach((value) => line.append(make("td", typeof value === "number" ? { class: "number" } : {}, shown(value))));
        body.append(line);
      });
      count.textContent = `${rows.length} of ${data.rows.length} cases${rows.length > 2000 ? ", the first 2000 shown" : ""}`;
    }
    paint();
  }

  explorer();
  table();
})();
