"""From bytes to pieces: tokens, a pen that moves, its strokes."""
