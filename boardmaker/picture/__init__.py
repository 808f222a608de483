"""The picture of a bike file: each panel as described, or the whole bike, with what is odd about it.

In: a bike as far as it could be read, its problems with what they are about. Out: a display list. Stands beside the
flow to the boards: nothing is packed here, nothing comes off, and a file with mistakes is drawn as far as it goes.
"""

from boardmaker.picture.look import PictureLook
from boardmaker.picture.oddities import Oddity, find_oddities, lost_panels
from boardmaker.picture.pictures import draw_bike, draw_panels

__all__ = ["Oddity", "PictureLook", "draw_bike", "draw_panels", "find_oddities", "lost_panels"]
