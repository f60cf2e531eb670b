"""Level contours of a form at stated heights: read, cut from a surface, and joined into one again."""
