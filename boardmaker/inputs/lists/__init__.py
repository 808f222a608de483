"""Lists from a spreadsheet (CSV): what lay in a bag, what a strip-down brought to light."""
