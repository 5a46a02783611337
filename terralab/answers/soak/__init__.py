"""How much on day one, to wake a dry box."""
