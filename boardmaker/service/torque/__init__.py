"""What a torque does to a screw, and what to set on a wrench to reach it."""
