"""What a box weighs: glass, soil, water and drainage layer, as it stands and with every pore full."""

from __future__ import annotations

from dataclasses import dataclass

from terralab import materials
from terralab.describe.box import Box
from terralab.quantities import quantity, said
from terralab.simulation.before_a_run import at_start

GLASS_KG_M3 = 2500.0  # soda-lime glass, EN 572-1 (from memory)
WATER_KG_M3 = 1000.0
ASK_ABOVE_KG = 200.0  # common practice, no source


@dataclass(frozen=True)
class Weight:
    """Weights in kg. `total` as the box stands at the start, `full` with soil and layer full of water.

    Litter, wood, plants, animals, lamps and the stand are not counted.
    """

    glass: float
    soil_dry: float
    soil_water: float
    stones_dry: float
    stones_water: float
    total: float
    full: float
    floor_m2: float

    @property
    def per_m2(self) -> float:
        """Total over the floor of the glass [kg/m2]."""
        return self.total / self.floor_m2

    @property
    def full_per_m2(self) -> float:
        """The same with soil and layer full [kg/m2]."""
        return self.full / self.floor_m2

    def __str__(self) -> str:
        return said(self.sentence())

    def sentence(self) -> str:
        """The weight in a sentence (measures are marks), with the advice that belongs to a heavy box."""
        kg = lambda value: quantity("kg", ".0f", value)  # noqa: E731
        per = lambda value: quantity("kg/m2", ".0f", value)  # noqa: E731
        text = (
            f"It weighs about {kg(self.total)}, {per(self.per_m2)} of floor ({kg(self.glass)} glass, {kg(self.soil_dry)} dry soil, "
            f"{kg(self.soil_water)} water in it, {kg(self.stones_dry + self.stones_water)} drainage layer with its water); full to "
            f"the brim of the soil {kg(self.full)}, {per(self.full_per_m2)}. Plants, wood, animals and the stand come on top."
        )
        if self.full > ASK_ABOVE_KG:
            text += (
                f" Above about {kg(ASK_ABOVE_KG)}, or upstairs, ask a structural engineer (common practice, no source)."
            )
        return text


def weight(box: Box) -> Weight:
    """The weight of a described box at its start, with typical densities; glass walls, floor and lid in one thickness."""
    e = box.enclosure
    floor, soil = e.floor_area_m2, e.soil_area_m2
    height, wide, deep = e.height_cm / 100.0, e.width_cm / 100.0, e.front_to_back_cm / 100.0
    lid_open = sum(o.area_cm2 for o in e.openings if o.wall == "lid") * 1e-4
    walls_open = sum(o.area_cm2 for o in e.openings if o.wall != "lid") * 1e-4
    panes = 2.0 * (wide + deep) * height + 2.0 * floor - lid_open - walls_open
    glass = panes * e.glass_mm / 1000.0 * GLASS_KG_M3
    dry = full = 0.0
    for name, thick in e.porous_layers:
        mix = materials.get("substrates", name)
        dry += mix.typical("bulk_density") * thick * soil
        full += mix.typical("theta_s") * thick * soil * WATER_KG_M3
    water = at_start(box).soil_water_m * soil * WATER_KG_M3
    stones = stones_water = stones_full = 0.0
    if e.drainage is not None:
        d = e.drainage
        kind = materials.get("aggregates", d.material)
        stones = kind.typical("loose_density") * d.depth_cm / 100.0 * soil
        soaked = kind.typical("water_uptake") * stones
        stones_water = soaked + 10.0 * min(d.level_cm, d.depth_cm) * d.voids * soil
        stones_full = soaked + 10.0 * d.depth_cm * d.voids * soil
    total = glass + dry + water + stones + stones_water
    return Weight(glass, dry, water, stones, stones_water, total, glass + dry + full + stones + stones_full, floor)
