"""Grading: every size from a base size by its rules, rules from a nest, and the nest checked."""
