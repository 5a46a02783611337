"""How deep a drainage layer, when to siphon, and what other bottoms do."""
