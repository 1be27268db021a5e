"""From geometry to pattern: which layer means what, which block is which piece in which size."""
