"""The scale test page: lengths to measure, dots for a scan, shapes to lay known things on."""
