"""Which automatic watering keeps the humidity wanted, what it costs, and what a drip would do instead."""
