"""Seam allowances: the cut line from the seam line, and back."""
