"""PNG: a picture of the pieces, to look at and to send."""
