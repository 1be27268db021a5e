"""Which outlines are pieces, and what belongs to each."""
