"""Laying a pattern on pages and drawing them."""
