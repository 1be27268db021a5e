"""Pieces as the model holds them, and what was noticed on the way."""
