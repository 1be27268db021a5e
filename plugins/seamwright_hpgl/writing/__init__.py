"""From pieces to a plot: lines in a good order, and the commands that draw them."""
