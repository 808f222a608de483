"""Does this screw suit this hole? The one judgement, and what it says of measured and of stand-in screws."""
