"""The two pictures: some panels, each in its frame; or the whole bike, its panels listed, what is odd below."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from boardmaker.display_list import Drawing
from boardmaker.model import Bike
from boardmaker.picture.bike_drawing import bike_cells, oddities_cell
from boardmaker.picture.frames import INSET, lost_frame, panel_frame
from boardmaker.picture.look import PictureLook
from boardmaker.picture.oddities import Oddity
from boardmaker.picture.panel_things import is_empty
from boardmaker.picture.scene import panel_scenes
from boardmaker.picture.sheet import grid_of, in_rows, lay_sheet
from boardmaker.units import counted


def draw_panels(bike: Bike, oddities: Sequence[Oddity], keys: Sequence[str], look: PictureLook) -> Drawing:
    """Return the panels of these keys (one at least), in the file's order, each in its frame.

    Panels of which there is nothing to draw come last. A key that no panel of the bike has is one that could not be
    read: its frame says why.
    """
    scenes = [scene for scene in panel_scenes(bike, oddities) if scene.panel.key in keys]
    scenes.sort(key=is_empty)
    lost = [key for key in keys if key not in {scene.panel.key for scene in scenes}]
    columns, width = grid_of(len(scenes) + len(lost))
    frames = [panel_frame(scene, width, look) for scene in scenes]
    frames += [lost_frame(key, [one for one in oddities if one.is_about(key)], width, look) for key in lost]
    below = f"{bike.file} · {counted(len(frames), 'panel')} · sizes in mm on the bike"
    return lay_sheet(bike.name, below, [in_rows(frames, columns)])


def draw_bike(bike: Bike, oddities: Sequence[Oddity], lost: Collection[str], look: PictureLook) -> Drawing:
    """Return the whole bike from left, right and above; `lost` are the panels that could not be read."""
    cells = bike_cells(panel_scenes(bike, oddities), tuple(lost), look)
    grid = in_rows(cells, min(2, len(cells)))
    said = oddities_cell(oddities, grid.width - 2 * INSET, look)
    below = f"{bike.file} · {counted(len(bike.panels), 'panel')} · sizes in mm on the bike"
    return lay_sheet(bike.name, below, [grid, *([in_rows([said], 1)] if said else ())])
