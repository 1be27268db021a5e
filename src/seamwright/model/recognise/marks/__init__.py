"""What the lines of a piece are: notches, darts, grain lines, folds, holes."""
