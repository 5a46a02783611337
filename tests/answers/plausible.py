"""Boxes as keepers have them, drawn at random: for laws that must hold for all of them, not for the demos alone."""

from __future__ import annotations

import warnings

import numpy as np

import terralab as tl
from terralab import materials
from terralab.describe import Box

HUMID = (
    "rainforest-floor small frogs",
    "arboreal temperate and subtropical frogs",
    "humid-forest geckos",
    "montane lizards",
    "tropical-forest snakes",
    "mosses",
    "ferns",
)
MIXES = ("fine coir mix", "coarse coir mix", "bark-rich mix", "peat-based mix", "sandy mix")


def drawn(seed: int, group: str = "", hot: bool | None = None) -> Box:
    """Box number `seed`: 15 to 250 litres, a meshed lid, 5 to 14 cm of soil. `hot`: with a hot lamp (None: by chance)."""
    rng = np.random.default_rng(seed)
    pick = lambda options: options[int(rng.integers(len(options)))]  # noqa: E731
    group = group or pick(HUMID)
    hot = bool(rng.random() < 0.5) if hot is None else hot
    width, deep = int(rng.integers(30, 80)), int(rng.integers(28, 50))
    soil = int(rng.integers(5, 10))
    layer = int(rng.integers(3, 6)) if rng.random() < 0.7 else 0
    height = soil + layer + 4 + int(rng.integers(18, 60))
    raw = {
        "name": f"Drawn {seed}",
        "group": group,
        "start": {"soil": pick(("dry", "drained-moist"))},
        "enclosure": {
            "width": f"{width} cm",
            "front_to_back": f"{deep} cm",
            "height": f"{height} cm",
            "layers": [{"material": pick(MIXES), "depth": f"{soil} cm"}],
            "openings": [
                {
                    "name": "lid",
                    "wall": "lid",
                    "width": f"{width - 6} cm",
                    "height": f"{deep - 6} cm",
                    "mesh": True,
                    "covered": "0 %" if hot else f"{int(rng.integers(0, 90))} %",
                }
            ],
            "plants": {"kind": pick(("foliage plants", "ferns")), "leaf_area": f"{width * deep} cm2"},
        },
        "room": {"temperature": {"day": f"{int(rng.integers(19, 24))} C", "night": "18 C"}, "humidity": "45 %"},
        "routine": {
            "sprays": [{"time": "08:00", "amount": "30 ml"}],
            "lamps": [
                {"name": "bar", "kind": "led bar outside lid", "power": "20 W", "timer": ["08:00-20:00"]},
            ],
        },
    }
    if layer:
        raw["enclosure"]["drainage"] = {"material": "expanded clay 8-16 mm", "depth": f"{layer} cm", "level": "0.5 cm"}
    if rng.random() < 0.5:
        raw["enclosure"]["cover"] = {"material": pick(materials.names("covers")), "depth": "2 cm"}
    if hot:
        raw["routine"]["lamps"].append(
            {
                "name": "spot",
                "kind": "incandescent or halogen spot",
                "power": f"{int(rng.integers(15, 60))} W",
                "timer": ["10:00-17:00"],
            }
        )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        return Box.read(raw)


def pot(mix: str, layer: bool, **more: object) -> Box:
    """A small box under a strong spot, dry at the start, kept for small frogs: some 30 °C by day. Quick to run."""
    raw = {
        "name": "Hot Pot",
        "group": "rainforest-floor small frogs",
        "start": {"soil": "dry"},
        "enclosure": {
            "width": "30 cm",
            "front_to_back": "30 cm",
            "height": "40 cm",
            "layers": [{"material": mix, "depth": "5 cm"}],
            "openings": [{"name": "lid", "wall": "lid", "width": "24 cm", "height": "24 cm", "mesh": True}],
        },
        "room": {"temperature": {"day": "22 C", "night": "18 C"}, "humidity": "45 %"},
        "routine": {
            "sprays": [{"time": "08:00", "amount": "20 ml"}],
            "lamps": [
                {"name": "light", "kind": "led bar outside lid", "power": "8 W", "timer": ["08:00-18:00"]},
                {"name": "spot", "kind": "incandescent or halogen spot", "power": "40 W", "timer": ["09:00-19:00"]},
            ],
        },
    }
    if layer:
        raw["enclosure"]["drainage"] = {"material": "expanded clay 8-16 mm", "depth": "4 cm", "level": "0 cm"}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        return Box.read(raw | more)
