"""Whether panels and holes can lie where the bike file has them: slips of sign, axis, side and unit."""
