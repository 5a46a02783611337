"""Marks this folder as part of the installed package, so that the command line can hand out copies."""
