"""Lengths, matrices, viewports, and the scale of a drawing."""
