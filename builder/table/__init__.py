"""At the table: where a student's own eye and lamps stand for a numbered view, in tape lengths."""
