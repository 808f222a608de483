"""The case page: plan and section of the box with the boards in it, and the list of cuts."""
