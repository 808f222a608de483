// Mouse, finger and pen: what is pressed, dragged, held for a moment, and two fingers that zoom.

const REACH = { mouse: 11, pen: 14, touch: 24 }; // px from the middle of a point or hole
const SIDE_REACH = { mouse: 8, pen: 12, touch: 20 };
const STILL = { mouse: 2, pen: 4, touch: 8 }; // px within which a press is no drag
const LONG = 500; // ms
const TWICE = { time: 350, room: 24 }; // ms, px between two taps

const pointers = new Map();
let pinch = null;
let holding = 0;
let lastTap = { time: -1e9, at: [0, 0] };

function sheetPlace(event) {
  const box = drawing.getBoundingClientRect();
  return [event.clientX - box.left, event.clientY - box.top];
}

// The nearest thing under a place; what is selected goes first, holes before points.
function thingAt(at, reach) {
  const points = shownPoints().map(({ i }) => thing("point", i));
  const near = [...state.holes.map((_, i) => thing("hole", i)), ...points]
    .map((one) => ({ one, away: distance(toSheet(placeOf(one)), at) }))
    .filter(({ away }) => away <= reach);
  const held = near.find(({ one }) => same(one, selected));
  return (held || near.sort((a, b) => a.away - b.away)[0] || { one: null }).one;
}

function isOnSide(at, kind) {
  const near = nearestOnRing(toPanel(at), flatRing(state.outline));
  return near.away * view.scale <= SIDE_REACH[kind];
}

const kindOf = (event) => (event.pointerType in REACH ? event.pointerType : "mouse");

function press(event) {
  if (event.button > 0) return;
  const at = sheetPlace(event);
  drawing.setPointerCapture(event.pointerId);
  pointers.set(event.pointerId, at);
  clearTimeout(holding);
  if (pointers.size === 2) return startPinch();
  if (pointers.size > 2) return;
  startDrag(event, at);
}

function startDrag(event, at) {
  const kind = kindOf(event);
  const one = mode ? null : thingAt(at, REACH[kind]);
  dragging = { one, at, last: at, kind, moved: false, isTouch: kind === "touch", grip: one && placeOf(one), begun: state };
  if (event.shiftKey && one && selected && !same(one, selected)) from = selected;
  if (one) select(one);
  if (!one && !mode) holding = setTimeout(holdStill, LONG);
}

// A press on the outline that stays where it is becomes a new point, which can be dragged at once.
function holdStill() {
  if (!dragging || dragging.moved || !isOnSide(dragging.at, dragging.kind)) return;
  addPointAt(toPanel(dragging.at));
  dragging = { ...dragging, one: selected, grip: placeOf(selected), begun: state, isNew: true };
}

function startPinch() {
  if (dragging) finishDrag();
  const [a, b] = [...pointers.values()];
  dragging = null;
  pinch = { apart: Math.max(distance(a, b), 1), middle: middle(a, b) };
}

function movePointer(event) {
  const at = sheetPlace(event);
  if (pointers.has(event.pointerId)) {
    pointers.set(event.pointerId, at);
    if (pinch) movePinch();
    else if (dragging) moveDrag(at);
  }
  const isHeld = dragging && dragging.one && dragging.moved;
  element("place").textContent = placeWords(isHeld ? placeOf(dragging.one) : toPanel(at));
}

function movePinch() {
  const [a, b] = [...pointers.values()];
  if (!b) return;
  const apart = Math.max(distance(a, b), 1);
  const to = middle(a, b);
  pan(to[0] - pinch.middle[0], to[1] - pinch.middle[1]);
  zoom(apart / pinch.apart, to);
  pinch = { apart, middle: to };
}

function moveDrag(at) {
  if (!dragging.moved && distance(at, dragging.at) <= STILL[dragging.kind]) return;
  dragging.moved = true;
  clearTimeout(holding);
  if (dragging.one) dragThing(at);
  else if (!mode) pan(at[0] - dragging.last[0], at[1] - dragging.last[1]);
  if (dragging) dragging.last = at;
}

// What is dragged moves by as much as the finger: it does not jump under it.
function dragThing(at) {
  const by = minus(at, dragging.at).map((length) => length / view.scale);
  state = moved(dragging.one, [dragging.grip[0] + by[0], dragging.grip[1] - by[1]]);
  refresh();
}

function finishDrag() {
  clearTimeout(holding);
  const { one, begun, moved: hasMoved } = dragging;
  const dragged = state;
  dragging = null;
  if (!one || !hasMoved) return;
  state = begun;
  lastKind = null;
  change(dragged);
  say(thingWords(one));
}

function release(event) {
  if (!pointers.delete(event.pointerId)) return;
  if (pinch) {
    if (!pointers.size) pinch = null;
    return;
  }
  if (!dragging) return;
  const { moved: hasMoved, at, kind, one, isNew } = dragging;
  finishDrag();
  if (!hasMoved && !isNew) tap(at, kind, one);
  refresh();
}

function tap(at, kind, one) {
  const isSecond = performance.now() - lastTap.time < TWICE.time && distance(at, lastTap.at) < TWICE.room;
  lastTap = { time: performance.now(), at };
  if (mode) return tapToAdd(at);
  if (one) return undefined;
  if (isSecond && isOnSide(at, kind)) return addPointAt(toPanel(at));
  return selected ? select(null) : undefined;
}

function tapToAdd(at) {
  const add = mode === "point" ? addPointAt : addHole;
  mode = null;
  add(toPanel(at));
}

function cancelPointer(event) {
  pointers.delete(event.pointerId);
  clearTimeout(holding);
  if (dragging) state = dragging.begun;
  dragging = null;
  pinch = null;
  refresh();
}

function turnWheel(event) {
  event.preventDefault();
  const lines = event.deltaMode === 1 ? 20 : 1;
  zoom(Math.exp((-event.deltaY * lines) / 400), sheetPlace(event));
}

function listenToPointers() {
  drawing.addEventListener("pointerdown", press);
  drawing.addEventListener("pointermove", movePointer);
  drawing.addEventListener("pointerup", release);
  drawing.addEventListener("pointercancel", cancelPointer);
  drawing.addEventListener("wheel", turnWheel, { passive: false });
  drawing.addEventListener("contextmenu", (event) => event.preventDefault());
  drawing.addEventListener("pointerleave", () => {
    element("place").textContent = "";
  });
}
