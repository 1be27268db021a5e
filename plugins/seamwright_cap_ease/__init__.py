"""Folding ease out of a sleeve cap."""
