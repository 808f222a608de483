// An outline of points between which it runs straight or as a cubic Bézier curve. A point is [x, y], or [x, y, ax, ay,
// bx, by]: how the outline comes to it from x + ax, y + ay, and leaves it towards x + bx, y + by. Lists are replaced,
// never changed.

const FLATNESS = 0.02; // mm by which a chord may be off its curve
const SAME_BOX = 0.05; // mm

const arriving = (point) => [point[0] + (point[2] || 0), point[1] + (point[3] || 0)];
const leaving = (point) => [point[0] + (point[4] || 0), point[1] + (point[5] || 0)];
const finePoint = (point) => point.map(fine);
const isCurved = ([a, b]) => Boolean(a[4] || a[5] || b[2] || b[3]);
const pieceOf = ([a, b]) => [[a[0], a[1]], leaving(a), arriving(b), [b[0], b[1]]];
const between = (a, b, share) => [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share];

// Points after the first of a piece. A chord over 1/n of it is off by at most three quarters of the second differences
// over n².
function piecePoints(piece) {
  const second = [0, 1].map((i) => minus(minus(piece[i + 2], piece[i + 1]), minus(piece[i + 1], piece[i])));
  const bend = Math.max(...second.map(([x, y]) => Math.hypot(x, y)));
  const steps = Math.min(60, Math.max(1, Math.ceil(Math.sqrt((0.75 * bend) / FLATNESS))));
  return Array.from({ length: steps }, (_, i) => cutPiece(piece, (i + 1) / steps)[0][3]);
}

// A piece in two (de Casteljau).
function cutPiece([a, b, c, d], share) {
  const [ab, bc, cd] = [between(a, b, share), between(b, c, share), between(c, d, share)];
  const [abc, bcd] = [between(ab, bc, share), between(bc, cd, share)];
  const at = between(abc, bcd, share);
  return [
    [a, ab, abc, at],
    [at, bcd, cd, d],
  ];
}

// All sides as points, and which side and share of it each begins at; worked out once for each outline.
const flattened = new WeakMap();
function flat(outline) {
  if (!flattened.has(outline)) flattened.set(outline, flatten(outline));
  return flattened.get(outline);
}

function flatten(outline) {
  const [ring, places] = [[], []];
  sides(outline).forEach((ends, side) => {
    const points = [ends[0].slice(0, 2), ...(isCurved(ends) ? piecePoints(pieceOf(ends)).slice(0, -1) : [])];
    points.forEach((point, i) => {
      ring.push(point);
      places.push({ side, share: i / points.length, step: 1 / points.length });
    });
  });
  return { ring, places };
}

const flatRing = (outline) => flat(outline).ring;

// The place of an outline that is nearest to p, with its side and the share of that side.
function nearestOnOutline(p, outline) {
  const { ring, places } = flat(outline);
  const { side: chord, at, away } = nearestOnRing(p, ring);
  const { side, share, step } = places[chord];
  const length = distance(ring[chord], ring[(chord + 1) % ring.length]);
  return { side, at, away, share: share + step * (length ? distance(ring[chord], at) / length : 0) };
}

// An outline with one point more, and the same shape.
function withPoint(outline, side, share) {
  const ends = sides(outline)[side];
  const after = (side + 1) % outline.length;
  const at = between(...ends, share);
  const next = [...outline];
  if (!isCurved(ends)) return [...next.slice(0, side + 1), finePlace(at), ...next.slice(side + 1)];
  const [first, second] = cutPiece(pieceOf(ends), share);
  next[side] = withWay(ends[0], 4, minus(first[1], first[0]));
  next[after] = withWay(next[after], 2, minus(second[2], second[3]));
  const made = [...first[3], ...minus(first[2], first[3]), ...minus(second[1], second[0])];
  return [...next.slice(0, side + 1), finePoint(made), ...next.slice(side + 1)];
}

// A point with another way in (2) or out (4).
function withWay(point, place, [x, y]) {
  const full = [point[0], point[1], ...[2, 3, 4, 5].map((i) => point[i] || 0)];
  [full[place], full[place + 1]] = [fine(x), fine(y)];
  return full;
}

// An outline with one point less: its neighbours keep their directions, and reach as much further as they are apart.
function withoutPoint(outline, number) {
  const [before, gone, after] = around(outline, number);
  const next = [...outline];
  const longer = (point) => distance(before, after) / Math.max(distance(point, gone), 1e-6);
  const reach = (point, place) => point.slice(place, place + 2).map((length) => length * longer(point));
  if (before[4] || before[5]) next[number ? number - 1 : next.length - 1] = withWay(before, 4, reach(before, 4));
  if (after[2] || after[3]) next[(number + 1) % next.length] = withWay(after, 2, reach(after, 2));
  return next.filter((_, i) => i !== number);
}

const around = (outline, i) => [outline.at(i - 1), outline[i], outline[(i + 1) % outline.length]];

// By how many degrees an outline turns at one of its points.
function turnAt(outline, i) {
  const [before, point, after] = around(outline, i);
  const from = isCurved([before, point]) && (point[2] || point[3]) ? arriving(point) : before;
  const to = isCurved([point, after]) && (point[4] || point[5]) ? leaving(point) : after;
  return bend(from, point, to);
}

// As path data, each place written by `words`.
function outlineText(outline, words) {
  const parts = sides(outline).map((ends) => {
    const inner = isCurved(ends) ? pieceOf(ends).slice(1, 3) : [];
    return `${inner.length ? "C" : "L"} ${[...inner, ends[1]].map(words).join(" ")}`;
  });
  if (!isCurved(sides(outline).at(-1))) parts.pop();
  return `M ${words(outline[0])} ${parts.join(" ")} Z`;
}

// With fewer points, off by no more than `most`, as far as that can be had point by point.
function thinnedOutline(outline, most) {
  if (!sides(outline).some(isCurved)) return thinnedRing(outline, most);
  const box = bounds(flatRing(outline));
  let left = outline;
  for (let i = left.length - 1; i >= 0 && left.length > 3; i -= 1) {
    const fewer = withoutPoint(left, i);
    const made = around(fewer, i ? i - 1 : fewer.length - 1).slice(1);
    if (sideOff(made, outline) <= most && isSameBox(bounds(flatRing(fewer)), box)) left = fewer;
  }
  return left;
}

const isSameBox = (a, b) => a.every((length, i) => Math.abs(length - b[i]) <= SAME_BOX);

// How far a side is from an outline at most, mm.
function sideOff(ends, outline) {
  const shares = [1, 2, 3, 4, 5, 6, 7].map((eighth) => eighth / 8);
  const places = shares.map((share) => cutPiece(pieceOf(ends), share)[0][3]);
  return Math.max(...places.map((place) => nearestOnOutline(place, outline).away));
}
