"""The first thing every question asks: whether it was given a box at all."""

from __future__ import annotations

import os

from terralab.describe.box import Box
from terralab.errors import TerralabError, quoted


def needs_box(box: object, who: str) -> None:
    """Raise TerralabError unless `box` is a Box; `who` is the function that needs it.

    >>> from terralab.describe import load
    >>> needs_box(load("moss-jar"), "daily_water")
    """
    if isinstance(box, Box):
        return
    said, hint = quoted(box), 'Load one first, for example tl.load("fern-hollow").'
    if isinstance(box, (str, os.PathLike)):
        said, hint = f"the text {quoted(str(box))}", f"Load it first: tl.load({quoted(str(box))})."
    elif box is None:
        said = "nothing"
    raise TerralabError(f"{who} needs a box, as tl.load gives it; it was given {said}. {hint}")
