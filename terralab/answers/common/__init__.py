"""What every question needs: the answer itself, its draws and ranges, its words, its gates."""
