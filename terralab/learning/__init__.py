"""The hidden numbers of one box, learned from its log."""
