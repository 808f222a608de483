"""The board file `board.json`: a board set as numbers, written and read back, to be checked and packed again."""
