// What the page shows and what was done to it; and who wants to know.

export const state = {
  told: null, // what the program says of the case
  moves: {}, // values of the controls that were moved
  answer: null, // the newest answer
  held: null, // the state A
  laws: null, // bounding laws of the shown state
  section: null, // the newest section of a hole
  scrub: null, // increments, while stepping through them
  probe: null, // place that is read
  line: null, // { from, to, points }: a path of one's own
  choosing: false, // whether its ends are being chosen
  ready: true, // false until a lesson's prediction is made
};

const listeners = { moved: [], answered: [], fields: [], charts: [] };

// Calls `work` at every `event`: a control was moved, an answer came, fields or charts are to be painted anew.
export function when(event, work) {
  listeners[event].push(work);
}

export function tell(event, ...what) {
  for (const work of listeners[event]) work(...what);
}

// The stage that is shown.
export const stage = (found = state.answer) => found.stages[found.stage];
