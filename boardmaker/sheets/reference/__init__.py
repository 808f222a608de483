"""Pages of words to have beside the bike: order of removal, screw key, torque strip."""
