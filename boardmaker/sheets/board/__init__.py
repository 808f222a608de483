"""Boards on paper: the page map, tiles with cut marks, and the pages to have beside the bike."""
