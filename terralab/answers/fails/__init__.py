"""What happens when a device fails or the mains go, and what would tell of it."""
