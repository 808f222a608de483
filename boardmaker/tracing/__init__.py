"""Reading a drawing of a panel (SVG, DXF, CSV) into outlines and holes in mm."""
