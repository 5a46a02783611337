"""The pictures."""
