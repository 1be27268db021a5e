"""From elements to strokes and texts in mm."""
