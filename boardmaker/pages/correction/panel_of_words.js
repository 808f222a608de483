// The words beside the sheet: what is selected, what is odd, the list of holes, the outline's size.

const LEAST_APART = 1; // mm between the middles of two holes: `trace` takes nearer ones for one hole drawn twice
let oddFor = null;
let odd = [];

// What `trace` would refuse, each with its place; worked out once for each state, and not while something is dragged.
function oddThings() {
  if (oddFor !== state && !(dragging && dragging.moved)) [odd, oddFor] = [findOdd(), state];
  return odd;
}

function findOdd() {
  const found = state.holes.flatMap(oddHole);
  const at = crossing(flatRing(state.outline));
  if (at) found.unshift({ at, words: `The outline crosses itself at ${placeWords(at)}.` });
  return found;
}

function oddHole(hole, i) {
  if (isProposed(hole)) return []; // it is not saved
  const name = `Hole ${hole.id}`;
  const near = (other) => !isProposed(other) && distance(other.at, hole.at) < LEAST_APART;
  const twin = state.holes.slice(0, i).find(near);
  if (twin) return [{ at: hole.at, words: `${name} lies on hole ${twin.id}.` }];
  if (!isInside(hole.at, flatRing(state.outline))) return [{ at: hole.at, words: `${name} lies outside of the outline.` }];
  return [];
}

function showWords() {
  showSelected();
  showOdd();
  showHoles();
  showSize();
  element("undo").disabled = !before.length;
  element("redo").disabled = !after.length;
  element("add-point").setAttribute("aria-pressed", mode === "point");
  element("add-hole").setAttribute("aria-pressed", mode === "hole");
  drawing.classList.toggle("adding", Boolean(mode));
  element("grid").setAttribute("aria-pressed", hasGrid);
  element("square-size").textContent = hasGrid ? `squares of ${gridStep()} mm` : "";
}

function showSelected() {
  element("fields").hidden = !selected;
  element("selected-help").hidden = Boolean(selected);
  element("selected-title").textContent = selected ? thingName(selected) : "Nothing selected";
  const waiting = from ? `Measured from ${thingName(from)}: select the other one.` : "";
  element("distance").textContent = isMeasuring() ? distanceWords(from, selected) : waiting;
  if (selected) showFields();
}

function showFields() {
  const place = placeOf(selected);
  ["x", "y"].forEach((id, axis) => {
    if (document.activeElement !== element(id)) element(id).value = decimals(place[axis], 2);
  });
  element("letter-field").hidden = selected.kind !== "hole";
  const hole = selected.kind === "hole" ? state.holes[selected.number] : null;
  if (hole) showLetters(hole);
  element("proposed-help").hidden = !(hole && isProposed(hole));
  element("from").textContent = same(from, selected) ? "Stop measuring" : "Measure from here";
}

function option(value, words) {
  const made = document.createElement("option");
  made.value = value;
  made.textContent = words;
  return made;
}

// The value of an option is its place in the list: a key may be any text.
function showLetters(hole) {
  const list = element("letter");
  const unknown = hole.fastener && !fasteners.has(hole.fastener);
  const known = data.fasteners.map((one, i) => option(i, one.words ? `${one.key}: ${one.words}` : one.key));
  const none = option(-1, unknown ? `${hole.fastener}: not in the bike file` : "none yet");
  if (document.activeElement !== list) list.replaceChildren(none, ...known);
  list.value = data.fasteners.findIndex((one) => one.key === hole.fastener);
}

function showOdd() {
  const things = oddThings();
  element("odd").hidden = !things.length;
  listItems("odd-list", things.map((one) => one.words)).forEach(([item, words]) => {
    item.textContent = words;
  });
}

// The items of a list, as many as there are words; items that are there stay, so that the focus does.
function listItems(id, words) {
  const list = element(id);
  while (list.children.length > words.length) list.lastChild.remove();
  while (list.children.length < words.length) list.append(document.createElement("li"));
  return words.map((one, i) => [list.children[i], one]);
}

function showHoles() {
  element("holes-title").textContent = holeCount();
  const words = state.holes.map((hole) => holeWords(hole));
  listItems("holes", words).forEach(([item, [name, place]], i) => showHoleItem(item, name, place, i));
}

function holeWords(hole) {
  const letter = hole.fastener || (isProposed(hole) ? "proposed" : "no fastener");
  return [`${hole.id}  ${letter}${holeState(hole) === "new" ? ", new" : ""}`, placeWords(hole.at)];
}

function showHoleItem(item, name, place, i) {
  if (!item.firstChild) item.append(holeButton(i));
  const [words, where] = item.firstChild.children;
  words.textContent = name;
  where.textContent = place;
  item.firstChild.setAttribute("aria-pressed", same(selected, thing("hole", i)));
}

function holeButton(i) {
  const button = document.createElement("button");
  button.type = "button";
  button.append(document.createElement("bdi"), document.createElement("span"));
  button.addEventListener("click", () => select(thing("hole", i)));
  return button;
}

function showSize() {
  const [x0, y0, x1, y1] = bounds(flatRing(state.outline));
  const size = `${decimals(x1 - x0, 1)} × ${decimals(y1 - y0, 1)} mm`;
  const hidden = state.outline.length - shownPoints().length;
  const more = hidden && mayShowMore() ? ` (zoom in for all: ${hidden} are not shown)` : "";
  element("size").textContent = `${size}, ${counted(state.outline.length, "point")}${more}`;
}
