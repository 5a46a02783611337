"""How much water a day, and what else would do it."""
