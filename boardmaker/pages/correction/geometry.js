// Plane geometry in mm, y up. Rings are lists of [x, y], the first point not repeated. Nothing here knows the page.

const minus = (a, b) => [a[0] - b[0], a[1] - b[1]];
const distance = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);
const middle = (a, b) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
const fine = (value) => Math.round(value * 1000) / 1000 + 0; // to a thousandth, as the outlines of `trace` are written
const finePlace = (place) => [fine(place[0]), fine(place[1])];
const sides = (ring) => ring.map((point, i) => [point, ring[(i + 1) % ring.length]]);

function bounds(places) {
  const xs = places.map((place) => place[0]);
  const ys = places.map((place) => place[1]);
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

// By how many degrees a line turns at b on its way from a to c.
function bend(a, b, c) {
  const [u, v] = [minus(b, a), minus(c, b)];
  const angle = Math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]);
  return Math.abs((angle * 180) / Math.PI);
}

// The place of the line from a to b that is nearest to p.
function nearestOnSide(p, a, b) {
  const way = minus(b, a);
  const square = way[0] ** 2 + way[1] ** 2;
  const share = square ? ((p[0] - a[0]) * way[0] + (p[1] - a[1]) * way[1]) / square : 0;
  const held = Math.min(1, Math.max(0, share));
  return [a[0] + held * way[0], a[1] + held * way[1]];
}

function nearestOnRing(p, ring) {
  let best = null;
  sides(ring).forEach(([a, b], side) => {
    const at = nearestOnSide(p, a, b);
    const away = distance(p, at);
    if (!best || away < best.away) best = { side, at, away };
  });
  return best;
}

function isInside(p, ring) {
  let inside = false;
  for (const [a, b] of sides(ring)) {
    const spans = a[1] > p[1] !== b[1] > p[1];
    if (spans && p[0] < ((b[0] - a[0]) * (p[1] - a[1])) / (b[1] - a[1]) + a[0]) inside = !inside;
  }
  return inside;
}

const turn = (a, b, c) => Math.sign((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]));

// Whether c, which lies on the line through a and b, lies between them.
function isBetween(a, b, c) {
  const [x0, y0, x1, y1] = bounds([a, b]);
  return c[0] >= x0 && c[0] <= x1 && c[1] >= y0 && c[1] <= y1;
}

function sidesMeet([a, b], [c, d]) {
  const turns = [turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b)];
  if (turns[0] * turns[1] < 0 && turns[2] * turns[3] < 0) return true;
  const ends = [[a, b, c], [a, b, d], [c, d, a], [c, d, b]];
  return ends.some((three, i) => turns[i] === 0 && isBetween(...three));
}

function meetingPlace([a, b], [c, d]) {
  const [u, v, w] = [minus(b, a), minus(d, c), minus(c, a)];
  const area = u[0] * v[1] - u[1] * v[0];
  if (!area) return middle(a, c);
  const share = (w[0] * v[1] - w[1] * v[0]) / area;
  return [a[0] + share * u[0], a[1] + share * u[1]];
}

// Where two neighbouring sides run back over each other.
function backOver([a, b], [, c]) {
  const [u, v] = [minus(a, b), minus(c, b)];
  return turn(a, b, c) === 0 && u[0] * v[0] + u[1] * v[1] > 0 ? b : null;
}

// The first place where a ring meets itself; null where it does not.
function crossing(ring) {
  const all = sides(ring);
  const boxes = all.map(bounds);
  for (let i = 0; i < all.length; i += 1) {
    const back = backOver(all[i], all[(i + 1) % all.length]);
    if (back) return back;
    for (let j = i + 2; j < all.length - (i === 0 ? 1 : 0); j += 1) {
      if (boxesMeet(boxes[i], boxes[j]) && sidesMeet(all[i], all[j])) return meetingPlace(all[i], all[j]);
    }
  }
  return null;
}

const boxesMeet = (a, b) => a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3];

// The numbers of the points that stay where a line is thinned: nothing is off by more than `most` (Ramer 1972,
// Douglas and Peucker 1973).
function thinnedLine(points, first, last, most) {
  let farthest = -1;
  let off = most;
  for (let i = first + 1; i < last; i += 1) {
    const away = distance(points[i], nearestOnSide(points[i], points[first], points[last]));
    if (away > off) [farthest, off] = [i, away];
  }
  if (farthest < 0) return [first];
  return [...thinnedLine(points, first, farthest, most), ...thinnedLine(points, farthest, last, most)];
}

// A ring with fewer points; the points at the edges of its box stay, because holes are counted from there.
function thinnedRing(ring, most) {
  const kept = boxPoints(ring);
  const whole = [...ring.slice(kept[0]), ...ring.slice(0, kept[0] + 1)];
  const stops = [...kept.map((i) => i - kept[0]), ring.length];
  const left = stops.slice(1).flatMap((stop, i) => thinnedLine(whole, stops[i], stop, most));
  return left.length < 3 ? ring : left.map((i) => whole[i]);
}

function boxPoints(ring) {
  const box = bounds(ring);
  const at = (axis, value) => ring.findIndex((point) => point[axis] === value);
  const found = [at(0, box[0]), at(1, box[1]), at(0, box[2]), at(1, box[3])];
  return [...new Set(found)].sort((a, b) => a - b);
}
