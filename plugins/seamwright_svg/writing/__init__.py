"""Pattern to drawing."""
