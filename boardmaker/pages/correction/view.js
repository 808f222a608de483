// From mm to the sheet's pixels and back: where the sheet lies and how large it is shown.

const drawing = element("drawing");
const LEAST_SCALE = 0.02; // px per mm
const LARGEST_SCALE = 400;
const AIR = 36; // px around the whole panel

let view = { scale: 1, x: 0, y: 0 }; // the panel's [0, 0] is at x, y

const toSheet = (place) => [view.x + place[0] * view.scale, view.y - place[1] * view.scale];
const toPanel = (at) => [(at[0] - view.x) / view.scale, (view.y - at[1]) / view.scale];
const sheetSize = () => [drawing.clientWidth || 300, drawing.clientHeight || 300];
const sheetMiddle = () => sheetSize().map((length) => length / 2);

function showWhole() {
  const [x0, y0, x1, y1] = bounds([...flatRing(state.outline), ...state.holes.map((hole) => hole.at)]);
  const [width, height] = sheetSize();
  const scale = Math.min((width - 2 * AIR) / Math.max(x1 - x0, 1), (height - 2 * AIR) / Math.max(y1 - y0, 1));
  view.scale = heldScale(scale);
  view.x = width / 2 - (view.scale * (x0 + x1)) / 2;
  view.y = height / 2 + (view.scale * (y0 + y1)) / 2;
  refresh();
}

const heldScale = (scale) => Math.min(LARGEST_SCALE, Math.max(LEAST_SCALE, scale));

// Zoom so that what is at a place of the sheet stays there.
function zoom(times, at = sheetMiddle()) {
  const scale = heldScale(view.scale * times);
  const by = scale / view.scale;
  view = { scale, x: at[0] + (view.x - at[0]) * by, y: at[1] + (view.y - at[1]) * by };
  refresh();
}

function pan(x, y) {
  view = { ...view, x: view.x + x, y: view.y + y };
  refresh();
}

function bringIntoView(place) {
  const [x, y] = toSheet(place);
  const [width, height] = sheetSize();
  const away = (at, length) => (at < AIR ? AIR - at : at > length - AIR ? length - AIR - at : 0);
  view = { ...view, x: view.x + away(x, width), y: view.y + away(y, height) };
}
