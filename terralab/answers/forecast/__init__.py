"""What comes in the next weeks if one goes on as now."""
