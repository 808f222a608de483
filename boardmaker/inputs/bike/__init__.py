"""From the shape of a bike file to a `Bike`: fasteners completed, panels mirrored, references resolved."""
