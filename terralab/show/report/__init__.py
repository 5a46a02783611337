"""The page with all answers."""
