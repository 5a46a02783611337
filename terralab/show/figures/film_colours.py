"""Pictures of few colours, the same ones in each, so that a film stays small and its scale does not flicker."""

from __future__ import annotations

import io
from functools import cache

import numpy as np
from matplotlib.colors import to_rgb
from PIL import Image  # comes with matplotlib

from terralab.show.figures.section_ground import AIR_COLOUR
from terralab.show.figures.section_soil import DAMP, GRAINS, LITTER, LITTER_PALE
from terralab.show.figures.style import BLUE, SKY, VERMILLION, WATER_MAP

_WATERS, _GREYS, _BETWEEN = 64, 24, 3


@cache
def _palette() -> Image.Image:
    """The scale of water, greys, and the colours of the other parts on their way to white and to black."""
    parts = [
        AIR_COLOUR,
        BLUE,
        SKY,
        VERMILLION,
        DAMP,
        LITTER,
        LITTER_PALE,
        *(one for pair in GRAINS.values() for one in pair),
    ]
    colours = [WATER_MAP(x)[:3] for x in np.linspace(0.0, 1.0, _WATERS)]
    colours += [(x, x, x) for x in np.linspace(0.0, 1.0, _GREYS)]
    for part in parts:
        for share in np.linspace(0.0, 0.75, _BETWEEN + 1):
            colours.append(tuple(share + (1.0 - share) * c for c in to_rgb(part)))
    held = Image.new("P", (1, 1))
    flat = [round(255.0 * c) for colour in colours for c in colour]
    held.putpalette(flat + flat[:3] * (256 - len(colours)))
    return held


def few_colours(rgba: np.ndarray) -> bytes:
    """Return a picture, height by width by four, as PNG in the colours of the palette."""
    held = io.BytesIO()
    full = Image.fromarray(rgba).convert("RGB")
    full.quantize(palette=_palette(), dither=Image.Dither.NONE).save(held, format="PNG", optimize=True)
    return held.getvalue()
