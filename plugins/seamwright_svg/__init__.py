"""SVG in and out: drawings as general vector editors save them."""
