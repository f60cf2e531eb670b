"""Eyes and what they see."""
