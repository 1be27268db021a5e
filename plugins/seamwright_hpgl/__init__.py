"""HP-GL: plots for roll plotters and cutters, written and read."""
