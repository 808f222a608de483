// What can be done to outline and holes; each is one step that can be undone.

const THINNING = [0.05, 0.1, 0.2, 0.5, 1]; // mm by which the outline may be off for fewer points
const ENOUGH = 0.9; // of the points: to lose fewer than a tenth is not what anybody presses the button for

function moved(one, place) {
  const list = one.kind === "point" ? "outline" : "holes";
  const next = [...state[list]];
  const at = finePlace(place);
  const was = next[one.number];
  next[one.number] = one.kind === "point" ? [...at, ...was.slice(2)] : { ...was, at };
  return { ...state, [list]: next };
}

function moveTo(one, place, kind = null) {
  change(moved(one, place), kind);
  say(thingWords(one));
}

function nudge(x, y) {
  const place = placeOf(selected);
  moveTo(selected, [place[0] + x, place[1] + y], `nudge ${selected.kind} ${selected.number}`);
  bringIntoView(placeOf(selected));
}

function addPoint(side, share) {
  const outline = withPoint(state.outline, side, share);
  const held = from && from.kind === "point" && from.number > side ? thing("point", from.number + 1) : from;
  selected = thing("point", side + 1);
  from = held;
  change({ ...state, outline });
  say(`New ${lowered(thingWords(selected))}`);
}

// In the middle of the side behind the selected point; without one, where the outline is nearest to the sheet's middle.
function addPointBehind() {
  if (selected && selected.kind === "point") return addPoint(selected.number, 0.5);
  return addPointAt(toPanel(sheetMiddle()));
}

function addPointAt(place) {
  const near = nearestOnOutline(place, state.outline);
  addPoint(near.side, near.share);
}

function nextId() {
  const numbers = [...data.holes, ...state.holes].map((hole) => (/^[0-9]{1,6}$/.test(hole.id) ? Number(hole.id) : 0));
  return String(Math.max(state.holes.length, ...numbers) + 1);
}

// A new hole has the fastener of the one that is selected; a letter that nobody chose would look like one that fits.
function addHole(place) {
  const example = selected && selected.kind === "hole" ? state.holes[selected.number] : null;
  const fastener = example && fasteners.has(example.fastener) ? example.fastener : "";
  const holes = [...state.holes, { id: nextId(), at: finePlace(place), fastener, state: "new" }];
  selected = thing("hole", holes.length - 1);
  change({ ...state, holes });
  say(`New ${lowered(thingWords(selected))}`);
}

function remove(one) {
  if (one.kind === "point" && state.outline.length <= 3) return say("An outline needs three points.");
  const name = thingName(one);
  from = withoutThing(from, one);
  selected = null;
  if (one.kind === "point") change({ ...state, outline: withoutPoint(state.outline, one.number) });
  else change({ ...state, holes: state.holes.filter((_, i) => i !== one.number) });
  return say(`${name} deleted.`);
}

// What another thing is called once one has gone.
function withoutThing(other, gone) {
  if (!other || other.kind !== gone.kind || other.number < gone.number) return other;
  return other.number === gone.number ? null : thing(other.kind, other.number - 1);
}

function setLetter(one, fastener) {
  const holes = [...state.holes];
  const taken = isProposed(holes[one.number]) && fastener !== "";
  holes[one.number] = { ...holes[one.number], fastener };
  change({ ...state, holes });
  say(taken ? `Taken: ${lowered(thingWords(one))}` : thingWords(one));
}

function setMeasure() {
  from = same(from, selected) ? null : selected;
  refresh();
  say(from ? `Measuring from ${thingName(from)}.` : "Stopped measuring.");
}

function fewerPoints() {
  for (const most of THINNING) {
    const outline = thinnedOutline(state.outline, most);
    const enough = most === THINNING.at(-1) ? 1 : ENOUGH;
    if (outline.length <= state.outline.length * enough - 1) {
      selected = null;
      from = from && from.kind === "hole" ? from : null;
      change({ ...state, outline });
      return say(`${counted(outline.length, "point")}; the outline is off by ${most} mm at most.`);
    }
  }
  return say("No point can go without changing the outline by more than 1 mm.");
}

function goTo(way) {
  const things = allThings();
  const at = things.findIndex((one) => same(one, selected));
  const next = at < 0 ? (way > 0 ? 0 : things.length - 1) : (at + way + things.length) % things.length;
  select(things[next]);
}

function setMode(wanted) {
  mode = mode === wanted ? null : wanted;
  refresh();
  const where = { point: "Tap the outline where the point belongs.", hole: "Tap where the hole is." };
  say(mode ? where[mode] : "Nothing will be added.");
}
