"""Section cards: from a model to the footprint, profile and contours with which it is rebuilt in clay."""
