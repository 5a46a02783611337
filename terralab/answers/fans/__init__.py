"""Which fan schedule, and what it costs in water."""
