"""A flatbed scan of the printed test page into the printer's scale.

In come the bytes of a PNG or JPEG picture and the places of the black discs on the page; out comes by how much the
printer stretched the page, with its uncertainty. Apart from the other stages because it reads a picture, not a bike,
and only `calibrate` needs it: importing it imports scipy.
"""

from boardmaker.scan.measure import measure_scan
from boardmaker.scan.model import ScanMarks, ScanMeasurement

__all__ = ["ScanMarks", "ScanMeasurement", "measure_scan"]
