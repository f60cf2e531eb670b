"""Printed pages true to scale, as tagged PDF: knows nothing of studies."""
