"""Castwalk: drawing-study packs from one sculpted model."""
