"""The lossless form of a pattern as JSON: every field of the model, every number exact."""
