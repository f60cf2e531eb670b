"""The slab that carries the face: its place and half sizes in the sculpting frame, mm."""

SLAB_CENTRE = (0.0, -8.0, -70.3)
SLAB_HALF = (114.3, 138.3, 22.1)
SLAB_FRONT_MM = SLAB_CENTRE[2] + SLAB_HALF[2]
