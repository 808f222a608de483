"""How many of each fastener: the tally, a bag or a strip-down held against it, what to buy."""
