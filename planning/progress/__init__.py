"""What the log comes to over time: of one child, and of a class."""
