"""What the eye sees of the form, whatever the lamp: strokes, marks and measures, once per view."""
