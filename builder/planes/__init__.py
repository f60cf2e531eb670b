"""The model broken into flat planes, in three nested levels, big planes splitting into smaller ones."""
