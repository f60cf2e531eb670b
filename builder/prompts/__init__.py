"""From facts to drawing tasks."""
