// What the page holds: outline and holes, what is selected, what was before. Records are replaced, never changed, so
// that a step back is the record before.

const element = (id) => document.getElementById(id);
const data = JSON.parse(element("data").textContent);
const fasteners = new Map(data.fasteners.map((one) => [one.key, one]));
const MOST_STEPS = 500;

let state = { outline: data.outline, holes: data.holes };
let selected = null; // { kind: "point" or "hole", number }
let from = null; // the other end of a distance
let mode = null; // what the next tap adds: "point" or "hole"
let before = [];
let after = [];
let saved = state;
let lastKind = null; // steps of one kind in a row, such as nudges, are one step

// Nobody has said yet that it is a hole: it is saved once it has a fastener.
const isProposed = (hole) => hole.state === "proposed" && hole.fastener === "";
const thing = (kind, number) => ({ kind, number });
const same = (a, b) => Boolean(a && b && a.kind === b.kind && a.number === b.number);
const placeOf = (one) => (one.kind === "point" ? state.outline[one.number] : state.holes[one.number].at);
const isThere = (one) => one && one.number < (one.kind === "point" ? state.outline : state.holes).length;

function allThings() {
  const holes = state.holes.map((_, i) => thing("hole", i));
  return [...holes, ...state.outline.map((_, i) => thing("point", i))];
}

function change(next, kind = null) {
  if (!kind || kind !== lastKind) before = [...before.slice(-MOST_STEPS), state];
  lastKind = kind;
  after = [];
  show(next);
}

function show(next) {
  state = next;
  if (!isThere(selected)) selected = null;
  if (!isThere(from)) from = null;
  refresh();
}

function step(back) {
  const [source, target] = back ? [before, after] : [after, before];
  if (!source.length) return say(back ? "Nothing to undo." : "Nothing to redo.");
  target.push(state);
  lastKind = null;
  const keepFrom = [selected, from];
  const [was, now] = [state, source.pop()];
  show(now);
  [selected, from] = keepFrom.map((one) => (isThere(one) ? one : null));
  refresh();
  const done = back ? stepWords(now, was) : stepWords(was, now);
  return say(`${back ? "Undone" : "Done again"}: ${done}.`);
}

function select(one) {
  selected = one;
  lastKind = null;
  if (one) bringIntoView(placeOf(one));
  refresh();
  say(one ? thingWords(one) : "Nothing selected.");
}
