// The sheet drawn anew: picture, grid, outline, points, holes with their letters, the measured distance.

const SVG = "http://www.w3.org/2000/svg";
const LEAST_SQUARE = 9; // px between two lines of the grid
const HANDLE_ROOM = 13; // px from one point to the next that is shown
const CORNER = 15; // degrees by which an outline turns at a corner
const RING = 8; // px, a hole's mark, half across
const LETTER_WIDTH = 8.6; // px of the type at holes, in the mean
const LABEL_HEIGHT = 17;

let hasGrid = true;
let dragging = null;
let planned = false;

function make(name, attributes, words = "") {
  const made = document.createElementNS(SVG, name);
  Object.entries(attributes).forEach(([key, value]) => made.setAttribute(key, value));
  if (words) made.textContent = words;
  return made;
}

function refresh() {
  if (planned) return;
  planned = true;
  requestAnimationFrame(() => {
    planned = false;
    draw();
    showWords();
  });
}

function draw() {
  drawPicture();
  element("squares").replaceChildren(...(hasGrid ? gridLines() : []), ...originMark());
  const path = sheetPath(state.outline);
  ["halo", "outline"].forEach((id) => element(id).setAttribute("d", path));
  element("traced").setAttribute("d", state.outline === data.outline ? "" : sheetPath(data.outline));
  element("doubtful").setAttribute("d", data.doubtful.map(linePath).join(""));
  element("things").replaceChildren(...pointMarks(), ...holeMarks(), ...oddMarks(), ...measureWords());
  element("measure").replaceChildren(...measureMarks());
  drawLoupe();
}

const px = (value) => value.toFixed(2);
const sheetPath = (outline) => outlineText(outline, (place) => toSheet(place).map(px).join(" "));

const linePath = (line) => `M${line.map((place) => toSheet(place).map(px).join(" ")).join("L")}`;

function drawPicture() {
  if (!data.box) return;
  const picture = element("picture");
  const [left, top] = toSheet([data.box[0], data.box[3]]);
  const size = { width: data.box[2] - data.box[0], height: data.box[3] - data.box[1] };
  picture.setAttribute("x", px(left));
  picture.setAttribute("y", px(top));
  Object.entries(size).forEach(([key, length]) => picture.setAttribute(key, px(length * view.scale)));
}

function gridStep() {
  return [1, 5, 10, 50, 100, 500, 1000].find((one) => one * view.scale >= LEAST_SQUARE) || 5000;
}

// Thin lines, every tenth square a stronger one, as on graph paper.
function gridLines() {
  const step = gridStep();
  const strong = [1, 10, 100, 1000].includes(step) ? 10 : 2;
  const [width, height] = sheetSize();
  const [x0, y1] = toPanel([0, 0]);
  const [x1, y0] = toPanel([width, height]);
  const paths = { weak: "", strong: "" };
  for (let i = Math.ceil(x0 / step); i * step <= x1; i += 1) {
    paths[i % strong ? "weak" : "strong"] += `M${px(toSheet([i * step, 0])[0])} 0V${height}`;
  }
  for (let i = Math.ceil(y0 / step); i * step <= y1; i += 1) {
    paths[i % strong ? "weak" : "strong"] += `M0 ${px(toSheet([0, i * step])[1])}H${width}`;
  }
  return Object.entries(paths).map(([kind, d]) => make("path", { d, class: `grid ${kind}` }));
}

function originMark() {
  const [x, y] = toSheet([0, 0]).map(px);
  return [
    make("path", { d: `M${x} ${y}v-26m-4 7l4 -7l4 7M${x} ${y}h26m-7 -4l7 4l-7 4`, class: "axes" }),
    make("text", { x: Number(x) + 30, y: Number(y) + 4, class: "axes-name" }, "x"),
    make("text", { x: Number(x) - 4, y: Number(y) - 31, class: "axes-name" }, "y"),
  ];
}

const isOnSheet = ([x, y], room = 20) => {
  const [width, height] = sheetSize();
  return x > -room && y > -room && x < width + room && y < height + room;
};

// The points that are shown: what is selected, corners, and of a round edge as many as fingers can tell apart.
function shownPoints() {
  const taken = new Map();
  const inOrder = pointsByWeight().filter(({ i, at }) => {
    if (!isOnSheet(at)) return false;
    if (isMarked(thing("point", i))) return takeRoom(taken, at, true);
    return takeRoom(taken, at, false);
  });
  return inOrder.sort((a, b) => a.i - b.i);
}

// Whether nothing of the outline lies off the sheet: points that are not shown then are too near to others.
function mayShowMore() {
  return state.outline.every((point) => isOnSheet(toSheet(point)));
}

const isMarked = (one) => same(one, selected) || same(one, from);

function pointsByWeight() {
  const { outline } = state;
  const weight = (i) => {
    if (isMarked(thing("point", i))) return 0;
    return turnAt(outline, i) > CORNER ? 1 : 2;
  };
  const points = outline.map((place, i) => ({ i, at: toSheet(place), weight: weight(i) }));
  return points.sort((a, b) => a.weight - b.weight || a.i - b.i);
}

// Whether nothing shown is nearer; cells of the room's size hold what is shown.
function takeRoom(taken, at, always) {
  const [column, row] = at.map((value) => Math.floor(value / HANDLE_ROOM));
  const near = [-1, 0, 1].flatMap((x) => [-1, 0, 1].flatMap((y) => taken.get(`${column + x} ${row + y}`) || []));
  if (!always && near.some((other) => distance(other, at) < HANDLE_ROOM)) return false;
  const cell = `${column} ${row}`;
  taken.set(cell, [...(taken.get(cell) || []), at]);
  return true;
}

const markClass = (one, kind) => `${kind}${same(one, selected) ? " chosen" : ""}${same(one, from) ? " from" : ""}`;

function pointMarks() {
  return shownPoints().flatMap(({ i, at: [x, y] }) => {
    const one = thing("point", i);
    const half = isUnderFinger(one) ? 2 : same(one, selected) ? 6 : 4;
    const box = { x: px(x - half), y: px(y - half), width: 2 * half, height: 2 * half };
    return [...chosenRing(one, x, y), make("rect", { ...box, class: markClass(one, "point") })];
  });
}

// What a finger drags is seen in the loupe, where a ring around it would hide the edge.
const isUnderFinger = (one) => Boolean(dragging && dragging.isTouch && dragging.moved && same(one, selected));

// What is selected has a ring of its own around it, so that it does not take a colour to see it.
function chosenRing(one, x, y) {
  const name = same(one, selected) ? "halo-ring" : "from-ring";
  const ring = { cx: px(x), cy: px(y), r: 17 };
  return isMarked(one) && !isUnderFinger(one) ? [make("circle", { ...ring, class: "ring-ground" }), make("circle", { ...ring, class: name })] : [];
}

function holeMarks() {
  const places = labelPlaces();
  return state.holes.flatMap((hole, i) => {
    const [x, y] = toSheet(hole.at);
    if (!isOnSheet([x, y], 100)) return [];
    const one = thing("hole", i);
    const at = { cx: px(x), cy: px(y) };
    const ground = isProposed(hole) ? [make("circle", { ...at, r: RING + 2, class: "proposed-ground" })] : [];
    const ring = make("circle", { ...at, r: isProposed(hole) ? RING + 2 : RING, class: `${markClass(one, "hole")} ${holeState(hole)}` });
    const dot = make("circle", { ...at, r: 1.6, class: "dot" });
    const words = make("text", { x: px(places[i][0]), y: px(places[i][1]), class: "label" }, holeLabel(hole));
    return [...trueHole(hole, x, y), ...chosenRing(one, x, y), ...ground, ring, dot, words];
  });
}

const holeState = (hole) => (hole.state === "proposed" && !isProposed(hole) ? "new" : hole.state);
const holeLabel = (hole) => `${hole.id} ${hole.fastener || "?"}`;
const holeWidth = (hole) => (fasteners.has(hole.fastener) ? fasteners.get(hole.fastener).across : 6);

// A fastener in its true size, where that is larger than the mark.
function trueHole(hole, x, y) {
  const radius = isProposed(hole) ? 0 : (holeWidth(hole) / 2) * view.scale;
  return radius > RING + 4 ? [make("circle", { cx: px(x), cy: px(y), r: px(radius), class: "true-size" })] : [];
}

// Beside each hole where no mark and no label is yet: right, left, above, below.
function labelPlaces() {
  const marks = state.holes.map((hole) => toSheet(hole.at));
  const taken = marks.map(([x, y]) => [x - RING, y - RING, x + RING, y + RING]);
  return state.holes.map((hole, i) => {
    const boxes = labelBoxes(marks[i], holeLabel(hole).length * LETTER_WIDTH);
    const box = boxes.find((one) => !taken.some((other) => boxesMeet(one, other))) || boxes[0];
    taken.push(box);
    return [box[0], box[3] - 4];
  });
}

function labelBoxes([x, y], width) {
  const gap = RING + 4;
  const half = LABEL_HEIGHT / 2;
  return [
    [x + gap, y - half, x + gap + width, y + half],
    [x - gap - width, y - half, x - gap, y + half],
    [x - width / 2, y - gap - LABEL_HEIGHT, x + width / 2, y - gap],
    [x - width / 2, y + gap, x + width / 2, y + gap + LABEL_HEIGHT],
  ];
}

// A yellow square on its corner at what is odd.
function oddMarks() {
  return oddThings()
    .filter((one) => one.at)
    .map((one) => {
      const [x, y] = toSheet(one.at).map(px);
      return make("path", { d: `M${x} ${y}m0 -30l9 9l-9 9l-9 -9zm0 4v6m0 3v1`, class: "odd" });
    });
}

const isMeasuring = () => Boolean(from && selected && !same(from, selected));

function measureMarks() {
  if (!isMeasuring()) return [];
  const ends = [from, selected].map((one) => toSheet(placeOf(one)).map(px).join(" "));
  const d = `M${ends.join("L")}`;
  return [make("path", { d, class: "distance-halo" }), make("path", { d, class: "distance" })];
}

function measureWords() {
  if (!isMeasuring()) return [];
  const [a, b] = [placeOf(from), placeOf(selected)];
  const [x, y] = toSheet(middle(a, b));
  const place = { x: px(x), y: px(y - 8), class: "label distance-words" };
  return [make("text", place, millimetres(distance(a, b)))];
}

// What is under the finger, three times as large, in the corner of the sheet that is farther away.
function drawLoupe() {
  const loupe = element("loupe");
  loupe.classList.toggle("shown", Boolean(dragging && dragging.isTouch && dragging.moved && selected));
  if (!loupe.classList.contains("shown")) return;
  const [x, y] = toSheet(placeOf(selected));
  loupe.classList.toggle("right", x < sheetSize()[0] / 2);
  loupe.setAttribute("viewBox", `${x - 22} ${y - 22} 44 44`);
}
