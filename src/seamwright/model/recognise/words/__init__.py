"""What labels, ids, classes and texts say: roles, sizes, names."""
