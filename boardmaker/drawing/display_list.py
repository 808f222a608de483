"""Moved to `boardmaker.display_list`."""

from boardmaker.display_list import Circle, DisplayItem, Drawing, Page, Path, Point, Text, Window

__all__ = ["Circle", "DisplayItem", "Drawing", "Page", "Path", "Point", "Text", "Window"]
