// Words for people: lengths, places, names of things.

const decimals = (value, digits) => (Math.abs(value) < 0.5 * 10 ** -digits ? 0 : value).toFixed(digits);
const millimetres = (value) => `${decimals(value, 1)} mm`;
const placeWords = (place) => `x ${decimals(place[0], 1)}, y ${decimals(place[1], 1)} mm`;
const counted = (count, word) => `${count} ${word}${count === 1 ? "" : "s"}`;

function thingName(thing) {
  if (thing.kind === "point") return `Point ${thing.number + 1}`;
  return `Hole ${state.holes[thing.number].id}`;
}

function holeCount() {
  const open = state.holes.filter(isProposed).length;
  const sure = counted(state.holes.length - open, "hole");
  return open ? `${sure}, ${open} more proposed` : sure;
}

const lowered = (words) => words.charAt(0).toLowerCase() + words.slice(1);

function thingWords(thing) {
  const hole = thing.kind === "hole" ? state.holes[thing.number] : null;
  const letter = hole ? `, ${hole.fastener || (isProposed(hole) ? "proposed" : "no fastener")}` : "";
  return `${thingName(thing)}${letter}: ${placeWords(placeOf(thing))}`;
}

function distanceWords(from, to) {
  const [a, b] = [placeOf(from), placeOf(to)];
  const [across, up] = minus(b, a).map(Math.abs);
  const between = `${thingName(from)} to ${lowered(thingName(to))}: ${millimetres(distance(a, b))}`;
  return `${between} (${decimals(across, 1)} across, ${decimals(up, 1)} up)`;
}

// What was done between one state and the next.
function stepWords(was, now) {
  const points = now.outline.length - was.outline.length;
  if (points) return points > 0 ? "a point added" : `${counted(-points, "point")} deleted`;
  const holes = now.holes.length - was.holes.length;
  const [more, fewer] = holes > 0 ? [now, was] : [was, now];
  const other = more.holes.find((hole) => !fewer.holes.some((one) => one.id === hole.id));
  if (other) return `hole ${other.id} ${holes > 0 ? "added" : "deleted"}`;
  const at = was.holes.findIndex((hole, i) => hole !== now.holes[i]);
  if (at < 0) return `point ${was.outline.findIndex((point, i) => point !== now.outline[i]) + 1} moved`;
  const [before, after] = [was.holes[at].fastener, now.holes[at].fastener];
  return `hole ${now.holes[at].id} ${before === after ? "moved" : `${before || "without a fastener"} → ${after || "none"}`}`;
}

const say = (words) => {
  element("said").textContent = words;
};
