"""Phrases of everything that is made for people, one file a language."""
