// The drawing that is saved: mm, the panel's [0, 0] at the lower left of the page, a path with the panel's key as its
// id, a circle for each hole with an id such as A-3. `trace` reads a hole's fastener from that id, and counts places
// in the panel's frame, which `data-frame="panel"` says; `data-letter="chosen"` marks a fastener that was chosen here.

const PAGE_AIR = 1; // mm of page behind the right and upper edge
const MARKS = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };
// `trace` reads _x41_ in a name as the letter of that number, so an underscore that begins such a piece is written so.
const named = (text) => text.replace(/_(?=x[0-9A-Fa-f]{2,4}_)/g, "_x5F_").replace(/[&<>"]/g, (mark) => MARKS[mark]);

let saves = 0;

const isTaken = (hole) => !isProposed(hole);

// Whether the fastener of a hole was chosen here: `trace` takes it then, also where the bike file has another one.
function isChosen(hole) {
  const traced = data.holes.find((one) => one.id === hole.id);
  return hole.fastener !== "" && !(traced && traced.fastener === hole.fastener);
}

// for the holes of A; a number that would make another fastener's key of it is left out.
function holeIds() {
  const next = new Map();
  return state.holes.filter(isTaken).map((hole) => {
    if (!hole.fastener) return "";
    let number = (next.get(hole.fastener) || 0) + 1;
    while (fasteners.has(`${hole.fastener}-${number}`)) number += 1;
    next.set(hole.fastener, number);
    return `${hole.fastener}-${number}`;
  });
}

function circleText(hole, id, height) {
  const name = id ? `id="${named(id)}" ${isChosen(hole) ? 'data-letter="chosen" ' : ""}` : "";
  const [x, y] = [fine(hole.at[0]), fine(height - hole.at[1])];
  return `  <circle ${name}cx="${x}" cy="${y}" r="${fine(holeWidth(hole) / 2)}"/>`;
}

function savedDrawing() {
  const [, , x1, y1] = bounds(flatRing(state.outline));
  const [width, height] = [x1, y1].map((length) => Math.max(1, Math.ceil(length + PAGE_AIR)));
  const path = outlineText(state.outline, ([x, y]) => `${fine(x)},${fine(height - y)}`);
  const ids = holeIds();
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" data-frame="panel" width="${width}mm" height="${height}mm" ` +
      `viewBox="0 0 ${width} ${height}" overflow="visible" fill="none" stroke="black" stroke-width="0.5">`,
    `  <path id="${named(data.key)}" d="${path}"/>`,
    ...state.holes.filter(isTaken).map((hole, i) => circleText(hole, ids[i], height)),
    "</svg>",
    "",
  ].join("\n");
}

function save() {
  const things = findOdd();
  element("said").scrollIntoView({ block: "nearest" });
  if (things.length) return say(`Not saved. ${things.map((one) => one.words).join(" ")}`);
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([savedDrawing()], { type: "image/svg+xml" }));
  link.download = data.file;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  saved = state;
  return say(savedWords());
}

// What is to be done next, and what `trace` will not do by itself.
function savedWords() {
  const gone = data.holes.filter((hole) => hole.state === "there" && !state.holes.some((one) => one.id === hole.id));
  const other = data.holes.filter((hole) => hole.state === "there" && hasOtherLetter(hole));
  saves += 1;
  const words = [`Saved ${data.file}. Now: ${data.command}${gone.length ? " --drop" : ""}`];
  if (saves > 1) words.push("Your browser may have given this one a number, such as (1): name the newest.");
  if (gone.length) words.push(`--drop takes ${holeNames(gone)} out of the bike file.`);
  if (other.length) words.push(`The bike file gets another fastener for ${otherNames(other)}.`);
  const open = state.holes.filter(isProposed).length;
  if (open) words.push(`${counted(open, "proposed hole")} without a fastener: not saved.`);
  const bare = state.holes.filter((hole) => isTaken(hole) && !hole.fastener);
  if (bare.length) words.push(`Choose a fastener for ${holeNames(bare)}, or add --fastener KEY: trace wants one for each.`);
  return words.join("\n");
}

const holeNames = (holes) => `hole${holes.length === 1 ? "" : "s"} ${holes.map((hole) => hole.id).join(", ")}`;

const newLetter = (hole) => state.holes.find((one) => one.id === hole.id).fastener;
const otherNames = (holes) => holes.map((hole) => `hole ${hole.id} (${hole.fastener} → ${newLetter(hole)})`).join(", ");

function hasOtherLetter(hole) {
  const now = state.holes.find((one) => one.id === hole.id);
  return Boolean(now && now.fastener && now.fastener !== hole.fastener);
}
