"""What is really drawn in a picture, and whether it can be read; shared by the tests of pictures."""

from __future__ import annotations

import re

import pytest
from matplotlib.colors import to_hex
from matplotlib.text import Text

from terralab.show.figures import style as looks

#: The colours that lines and filled areas may have.
ALLOWED = {to_hex(c) for c in (*looks.PALETTE, looks.NIGHT, looks.LINE, "white")}


def drawn(picture) -> list:
    """Every text that is really drawn, with its place in pixels."""
    found = []
    draw = Text.draw

    def noted(self, renderer, *args, **kwargs):
        if self.get_visible() and self.get_text().strip():
            found.append((self, self.get_window_extent(renderer)))
        return draw(self, renderer, *args, **kwargs)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Text, "draw", noted)
        looks.png(picture)
    return found


def needs_words_inside_and_apart(picture, words: list | None = None) -> None:
    """Fail where a text leaves the picture or lies over another one. `words`: what `drawn` gave, if that is known."""
    width, height = picture.get_size_inches() * picture.dpi
    words = drawn(picture) if words is None else words
    for text, box in words:
        assert 0.0 <= box.x0 <= box.x1 <= width, text
        assert 0.0 <= box.y0 <= box.y1 <= height, text
    for k, (text, box) in enumerate(words):
        for later, its_box in words[k + 1 :]:
            across = min(box.x1, its_box.x1) - max(box.x0, its_box.x0)
            up = min(box.y1, its_box.y1) - max(box.y0, its_box.y0)
            assert min(across, up) <= 1.0, (text, later)


#: A number of the soil tables keeps its 1/m, and the name of a material its grains.
METRIC_UNIT = re.compile(r"(?<!1/)(?<!-\d\d )(?<!-\d )\b(cm|mm|m|ml|l|litres)\b|°C|\bK\b")


def needs_us_units(picture) -> None:
    """Fail where a picture of a box described in US units, or its words, hold a metric unit."""
    for text in [picture.alt, *(one.get_text() for one, _ in drawn(picture))]:
        found = METRIC_UNIT.search(text)
        assert found is None, (found, text)
