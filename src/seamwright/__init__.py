"""Seamwright: sewing patterns that go together, in every size and in every file."""
