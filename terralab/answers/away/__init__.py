"""How long without watering."""
