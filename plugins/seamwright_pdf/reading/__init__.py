"""From pages to pieces: tokens, paths and texts with their layers, tiles put together."""
