"""Plate kinds: one module a kind, and the registry."""
