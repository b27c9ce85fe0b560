// A lesson: question, prediction, then the run beside it, the hand calculation, exercises with checked answers.

const make = (name, more = {}, ...children) => {
  const element = Object.assign(document.createElement(name), more);
  element.append(...children);
  return element;
};
const minus = (word) => String(word).replace("-", "−");
const number = (word) => Number(String(word).replace("−", "-").replace(",", "."));

// Parts of a lesson come as HTML made by the program from its own pages.
function part(html) {
  const box = make("div");
  box.innerHTML = html;
  for (const table of box.querySelectorAll("table")) {
    const frame = make("div", { className: "table", tabIndex: 0 });
    frame.setAttribute("role", "region");
    frame.setAttribute("aria-label", "Table of the lesson");
    table.replaceWith(frame);
    frame.append(table);
  }
  for (const head of box.querySelectorAll("th")) head.scope = "col";
  for (const block of box.querySelectorAll("pre")) block.tabIndex = 0;
  return box;
}

// Opens the lesson; `begin` is called once the prediction is made.
export function open(lesson, begin) {
  const place = document.getElementById("lesson");
  place.hidden = false;
  document.body.classList.add("waiting");
  place.append(make("h2", { id: "lesson-head", textContent: lesson.title }), part(lesson.before));
  const said = make("p", { className: "said" });
  said.setAttribute("role", "status");
  const { predict } = lesson;
  let guess = null;
  let first = true;
  place.append(prediction(predict, (value) => {
    guess = value;
    document.body.classList.remove("waiting");
    said.textContent = `You said ${minus(value)} ${predict.unit}. The run follows.`;
    begin();
  }), said);
  return {
    // The full answer of the case as it was read, or moved.
    answered(rows, moved) {
      const row = rows.find((r) => r.stage === predict.stage && r.hole === predict.hole && Number(r.angle_deg) === predict.angle);
      const found = row && row[predict.column] !== "" ? Number(row[predict.column]) : NaN;
      if (!first || moved || !Number.isFinite(found) || guess === null) return;
      first = false;
      const off = Math.abs(guess - found);
      const close = off <= 0.1 * Math.max(Math.abs(found), 0.1 * (predict.high - predict.low));
      said.textContent = `You said ${minus(guess)} ${predict.unit}; the program finds ${minus(found.toFixed(1))} ${predict.unit}. ${close ? "Close." : `Off by ${off.toFixed(0)} ${predict.unit}: read why.`}`;
      document.body.dataset.lesson = "answered";
      place.append(part(lesson.after), ...tasks(lesson));
    },
  };
}

function prediction({ ask, unit, low, high }, made) {
  const bar = make("input", { type: "range", min: low, max: high, step: "any", value: (low + high) / 2, id: "guess-bar" });
  bar.setAttribute("aria-label", `${ask}, slider`);
  const field = make("input", { type: "number", step: "any", id: "guess", required: true });
  bar.addEventListener("input", () => { field.value = Math.round(Number(bar.value)); });
  field.addEventListener("input", () => { bar.value = Number(field.value); });
  const form = make("form", { id: "predict" },
    make("label", { htmlFor: "guess", textContent: `Your prediction. ${ask} (${unit}):` }), bar, field,
    make("button", { type: "submit", textContent: "This is my prediction" }));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    for (const input of form.elements) input.disabled = true;
    made(number(field.value));
  });
  return form;
}

function tasks({ exercises, checked, answers }) {
  const parts = [];
  if (exercises) parts.push(part(exercises));
  checked.forEach(({ ask, unit, answer, within }, k) => {
    const field = make("input", { type: "text", inputMode: "decimal", id: `exercise-${k}`, required: true, size: 10 });
    const said = make("span", { className: "said" });
    said.setAttribute("role", "status");
    const form = make("form", {}, make("label", { htmlFor: field.id, textContent: `${ask}${unit ? ` (${unit})` : ""}:` }), field,
      make("button", { type: "submit", textContent: "Check" }), said);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const [given, right] = [number(field.value), number(answer)];
      if (!Number.isFinite(given)) said.textContent = "A number is wanted.";
      else if (Math.abs(given - right) <= within * Math.abs(right)) said.textContent = `Right: ${answer} ${unit}`;
      else if (Math.abs(given + right) <= within * Math.abs(right)) said.textContent = "The size is right, the sign is not.";
      else said.textContent = "Not yet.";
    });
    parts.push(form);
  });
  if (answers) {
    const shown = make("details", {}, make("summary", { textContent: "Answers" }), part(answers));
    parts.push(shown);
  }
  return parts;
}
