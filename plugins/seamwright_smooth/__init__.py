"""Smoothing: runs refitted with few curves, polylines turned to curves, bends looked at."""
