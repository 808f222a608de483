// Every button and field gets what it does; then the whole panel is shown.

// A press of a key on a button has no place on the sheet: then the thing is added at once, and the keys move it.
const addOrAsk = (kind, addNow) => (event) => {
  if (event.detail) return setMode(kind);
  drawing.focus();
  return addNow();
};

const BUTTONS = {
  undo: () => step(true),
  redo: () => step(false),
  "add-point": addOrAsk("point", () => addPointBehind()),
  "add-hole": addOrAsk("hole", () => addHole(toPanel(sheetMiddle()))),
  smaller: () => zoom(0.8),
  larger: () => zoom(1.25),
  whole: showWhole,
  grid: toggleGrid,
  save,
  previous: () => goTo(-1),
  next: () => goTo(1),
  from: setMeasure,
  delete: () => remove(selected),
  fewer: fewerPoints,
};

function takeField(axis, text) {
  const value = Number(text.replace(",", "."));
  if (!selected || text.trim() === "" || !Number.isFinite(value) || Math.abs(value) > 1e5) return refresh();
  const place = [...placeOf(selected)];
  if (fine(value) === place[axis] || decimals(place[axis], 2) === text) return refresh();
  place[axis] = value;
  bringIntoView(place);
  return moveTo(selected, place);
}

function takeLetter(event) {
  const chosen = data.fasteners[Number(event.target.value)];
  if (selected && selected.kind === "hole") setLetter(selected, chosen ? chosen.key : "");
}

function warnOfLoss(event) {
  if (state !== saved) event.preventDefault();
}

let size = null;

// The sheet has another size: its middle stays; the first time, the whole panel is shown.
function fitSheet() {
  const now = sheetSize();
  if (size) pan((now[0] - size[0]) / 2, (now[1] - size[1]) / 2);
  else showWhole();
  size = now;
}

function start() {
  Object.entries(BUTTONS).forEach(([id, act]) => element(id).addEventListener("click", act));
  ["x", "y"].forEach((id, axis) => element(id).addEventListener("change", (event) => takeField(axis, event.target.value)));
  element("letter").addEventListener("change", takeLetter);
  element("notes").hidden = !element("notes").children.length;
  listenToPointers();
  listenToKeys();
  window.addEventListener("beforeunload", warnOfLoss);
  new ResizeObserver(fitSheet).observe(drawing);
  say(`${counted(state.outline.length, "point")} and ${holeCount()}.`);
}

start();
