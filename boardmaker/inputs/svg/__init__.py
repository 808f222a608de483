"""SVG drawings as closed outlines in mm."""
