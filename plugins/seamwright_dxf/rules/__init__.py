"""Rule tables: the text file that says how graded points move from size to size."""
