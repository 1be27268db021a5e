"""Seams proposed from the pieces' shapes."""
