// Keys: letters and arrows count in the drawing alone, undo, redo and save everywhere but in a field.

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const NUDGE = { small: 0.1, large: 1 }; // mm
const PAN = 40; // px

function pressArrow(way, isLarge) {
  const [x, y] = way;
  if (!selected) return pan(-x * PAN, y * PAN);
  const by = isLarge ? NUDGE.large : NUDGE.small;
  return nudge(x * by, y * by);
}

const withSelected = (act) => () => (selected ? act() : say("Select a point or a hole first: N or P."));

function focusLetter() {
  if (selected.kind !== "hole") return say("A point has no fastener.");
  return element("letter").focus();
}

const KEYS = {
  n: () => goTo(1),
  p: () => goTo(-1),
  a: () => addPointBehind(),
  h: () => addHole(toPanel(sheetMiddle())),
  l: withSelected(focusLetter),
  m: withSelected(setMeasure),
  delete: withSelected(() => remove(selected)),
  backspace: withSelected(() => remove(selected)),
  "+": () => zoom(1.25),
  "=": () => zoom(1.25),
  "-": () => zoom(0.8),
  0: () => showWhole(),
  g: () => toggleGrid(),
};

function toggleGrid() {
  hasGrid = !hasGrid;
  refresh();
  say(hasGrid ? "Grid on." : "Grid off.");
}

function pressDrawingKey(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const way = ARROWS[event.key];
  const act = way ? () => pressArrow(way, event.shiftKey) : KEYS[event.key.toLowerCase()];
  if (!act) return;
  event.preventDefault();
  act();
}

function pressAnyKey(event) {
  if (event.key === "Escape") return leaveAll();
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return undefined;
  const key = event.key.toLowerCase();
  const isField = ["INPUT", "SELECT"].includes(document.activeElement.tagName);
  const act = { z: () => step(!event.shiftKey), y: () => step(false), s: save }[key];
  if (!act || (isField && key !== "s")) return undefined;
  event.preventDefault();
  return act();
}

function leaveAll() {
  mode = null;
  if (["INPUT", "SELECT"].includes(document.activeElement.tagName)) drawing.focus();
  else if (selected) select(null);
  refresh();
}

function listenToKeys() {
  drawing.addEventListener("keydown", pressDrawingKey);
  document.addEventListener("keydown", pressAnyKey);
}
