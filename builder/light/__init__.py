"""Lamps, the value scale, and light solved on the surface."""
