"""One physical idea a file: plain scalar functions, SI units in and out, formula and source in each docstring.

Nothing here knows what an enclosure is. The engine calls these very functions, compiled.
"""
