"""What a keeper measured, read from files: a logger's columns, a diary of what was done, a salt test."""
