"""Sheets to draw on, the overlay and the workbook: a view on paper, true to scale."""
