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

const say = (words) => {
  element("said").textContent = words;
};
