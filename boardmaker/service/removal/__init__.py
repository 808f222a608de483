"""What comes off for the chosen jobs, in which order, and which fasteners that frees."""
