"""How to save a box that is too wet."""
