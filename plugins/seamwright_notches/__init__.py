"""Notches: placed, carried to the partner, removed, counted anew."""
