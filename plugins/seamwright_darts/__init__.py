"""Darts: found, checked, trued, turned to another place, split, merged, made ease or gathers."""
