"""The walk check: every seam in every size, against the ease that is intended."""
