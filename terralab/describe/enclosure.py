"""What stands there: the glass, the layers in it, its openings, and the plants.

Sizes are inside sizes. Every class raises `DescriptionError` for values outside the ranges its docstring
gives.
"""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
# ruff: noqa: RUF009
from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import ClassVar

from terralab.describe.background import Background
from terralab.describe.basking import Basking
from terralab.describe.dish import Dish
from terralab.describe.fields import Part, Parts, Switch, entry, listed, measure
from terralab.describe.ground import Ground, OnGround
from terralab.describe.hide import Hide
from terralab.describe.opening import Opening
from terralab.describe.part import Described
from terralab.describe.plants import Plants
from terralab.describe.sizes import cm, cm2
from terralab.describe.substance import SoilMix
from terralab.errors import Problem
from terralab.units import show

LEAST_AIR_CM = 1.0
LEAST_VOID, MOST_VOID = 0.2, 0.7  # share of a layer of loose grains; the tables hold 0.34 to 0.56
MOST_WICK = 0.1  # share of the floor that cords may fill


@dataclass(frozen=True, slots=True)
class Layer(Described):
    """One layer of soil mix: `depth_cm` 0.5 to 200 cm, `material` from the table "substrates".

    Or parts of several, "2 parts fine coir mix, 1 part washed sand", kept in lowest terms with the largest first; or an
    `OwnMaterial`, which in a file goes by its name.
    """

    word: ClassVar[str] = "layer"

    material: str = entry(SoilMix())
    depth_cm: float = measure("length", "cm", 0.5, 200)


@dataclass(frozen=True, slots=True)
class Cover(Described):
    """What lies on the soil, such as leaf litter or moss: `material` from "covers", `depth_cm` 0.2 to 30
    cm.
    """

    word: ClassVar[str] = "cover"

    material: str = listed("cover", "covers")
    depth_cm: float = measure("length", "cm", 0.2, 30)

    @property
    def is_moss(self) -> bool:
        """True for a cover that holds water in pores as soil does."""
        from terralab.materials import get  # late: tables are read only when a description needs them

        return get("covers", self.material).typical("porous") > 0.0


@dataclass(frozen=True, slots=True)
class Drainage(Described):
    """The coarse layer under the mesh, and the water standing in it at the start.

    `material` from the table "aggregates"; `depth_cm` 0.2 to 100 cm and at least one grain; `level_cm` 0 to
    300 cm, the height of the water above the floor. A level above `depth_cm` is a flooded start. `void_fraction`,
    0.2 to 0.7: the share of the layer that water can fill, as measured with a jar; None means that of the material.
    `wick_area_cm2`, 0 to 10,000 cm2 and at most a tenth of the floor: cross-section of all cords that lead from the
    floor of the layer up into the foot of the soil (0: none).
    """

    word: ClassVar[str] = "drainage"

    material: str = listed("aggregate", "aggregates")
    depth_cm: float = measure("length", "cm", 0.2, 100)
    level_cm: float = measure("length", "cm", 0, 300, 0.0)
    void_fraction: float | None = measure("share", "share", 0, 1, None)
    wick_area_cm2: float = measure("area", "cm2", 0, 1e4, 0.0)

    @property
    def voids(self) -> float:
        """Share of the layer that water can fill: as given, else the typical value of its material."""
        from terralab.materials import get  # late: tables are read only when a description needs them

        if self.void_fraction is not None:
            return self.void_fraction
        return get("aggregates", self.material).typical("void_fraction")

    def conflicts(self) -> Iterable[Problem]:
        from terralab.materials import get  # late: tables are read only when a description needs them

        grain_cm = get("aggregates", self.material).typical("grain_mm") / 10
        if self.depth_cm < grain_cm:
            yield self.problem(
                "depth",
                f"given {cm(self.depth_cm)}, less than one grain of {self.material}",
                f"at least {cm(grain_cm)}",
                "Deepen the layer or choose smaller grains.",
            )
        if self.void_fraction is not None and not LEAST_VOID <= self.void_fraction <= MOST_VOID:
            yield self.problem(
                "void_fraction",
                f"given {show(self.void_fraction, 'share', 'share', 4)}; loose grains leave 34 to 56 % of the layer free",
                f"{100 * LEAST_VOID:g} % to {100 * MOST_VOID:g} %",
                "Fill a jar with grains, pour water to the brim, and divide the water by the jar.",
            )


@dataclass(frozen=True, slots=True)
class Tube(Described):
    """A corner tube down to the drainage layer: `diameter_cm` 0.5 to 20, `capped` when not in use."""

    word: ClassVar[str] = "tube"

    diameter_cm: float = measure("length", "cm", 0.5, 20)
    capped: bool = entry(Switch(), True)


@dataclass(frozen=True, slots=True)
class Enclosure(OnGround, Described):
    """The glass box and all that stands in it.

    `width_cm` 5 to 500, `front_to_back_cm` and `height_cm` 5 to 300, inside. `layers`: 1 to 10, from the
    top down. `glass_mm` 1 to 30. `mesh_barrier`: fabric or mesh between soil and drainage layer.
    `drain_hole`: water runs out of the bottom. `wood_area_cm2` and `background_area_cm2`, 0 to 200,000:
    open surface of wood, and of a cork or fibre background; `moss_on_wood_area_cm2`, 0 to 200,000: the part of both under
    living moss. `ground`: which shares of the floor are not planted soil (None: all of it is planted). `leakage_ach`, 0 to 100: air changes an hour
    through gaps, closed and without vents. `air_speed_cm_s`, 0 to 200: air movement without a fan.
    `runoff_to_soil`, 0 to 1: share of the water running down the glass that ends in the soil. None for
    these three means the shipped default with its range. `background`, `hide` and `basking`: a board on the panes,
    a place to hide and a place under a lamp, each with a class of its own.
    """

    word: ClassVar[str] = "enclosure"

    width_cm: float = measure("length", "cm", 5, 500)
    front_to_back_cm: float = measure("length", "cm", 5, 300)
    height_cm: float = measure("length", "cm", 5, 300)
    layers: tuple[Layer, ...] = entry(Parts(Layer, most=10, least=1))
    glass_mm: float = measure("length", "mm", 1, 30, 4.0)
    cover: Cover | None = entry(Part(Cover, optional=True), None)
    mesh_barrier: bool = entry(Switch(), True)
    drainage: Drainage | None = entry(Part(Drainage, optional=True), None)
    drain_hole: bool = entry(Switch(), False)
    wood_area_cm2: float = measure("area", "cm2", 0, 2e5, 0.0)
    background_area_cm2: float = measure("area", "cm2", 0, 2e5, 0.0)
    openings: tuple[Opening, ...] = entry(Parts(Opening), ())
    plants: Plants | None = entry(Part(Plants, optional=True), None)
    dish: Dish | None = entry(Part(Dish, optional=True), None)
    tube: Tube | None = entry(Part(Tube, optional=True), None)
    leakage_ach: float | None = measure("air changes", "per hour", 0, 100, None)
    air_speed_cm_s: float | None = measure("speed", "cm/s", 0, 200, None)
    runoff_to_soil: float | None = measure("share", "share", 0, 1, None)
    background: Background | None = entry(Part(Background, optional=True), None)
    hide: Hide | None = entry(Part(Hide, optional=True), None)
    basking: Basking | None = entry(Part(Basking, optional=True), None)
    ground: Ground | None = entry(Part(Ground, optional=True), None)
    moss_on_wood_area_cm2: float | None = measure("area", "cm2", 0, 2e5, None)

    @property
    def soil_depth_cm(self) -> float:
        """Depth of all soil layers together in cm, without cover and drainage layer."""
        return math.fsum(layer.depth_cm for layer in self.layers)

    @property
    def porous_layers(self) -> list[tuple[str, float]]:
        """Layers that hold water in pores, from the top down, (material, thickness in m); a moss cover is one of them."""
        cover = [self.cover] if self.cover is not None and self.cover.is_moss else []
        return [(layer.material, layer.depth_cm / 100.0) for layer in (*cover, *self.layers)]

    @property
    def soil_top_cm(self) -> float:
        """Height of the soil surface above the floor in cm, without the cover."""
        return self.soil_depth_cm + (self.drainage.depth_cm if self.drainage else 0.0)

    @property
    def surface_cm(self) -> float:
        """Height in cm above the floor of the topmost surface: the cover, or the soil where there is
        none.
        """
        return self.soil_top_cm + (self.cover.depth_cm if self.cover else 0.0)

    @property
    def air_height_cm(self) -> float:
        """Height of the air above soil and cover in cm."""
        return self.height_cm - self.surface_cm

    @property
    def air_volume_m3(self) -> float:
        """Volume of the air above soil, cover and bare floor in m3; plants, wood and dish are not taken off."""
        return self.floor_area_m2 * (self.air_height_cm + self.bare_floor_share * self.surface_cm) * 0.01

    @property
    def free_space_ml(self) -> float:
        """Water in ml that fits above soil and bare floor, up to the brim or the lowest opening in a wall."""
        beside = self.bare_floor_share * self.surface_cm
        return self.floor_area_m2 * (self.free_depth_cm + beside) * 1e4

    @property
    def free_depth_cm(self) -> float:
        """How high in cm water can stand on the soil, up to the brim or the lowest opening in a wall."""
        brim_cm = min([opening.bottom_cm for opening in self.openings if opening.wall != "lid"] + [self.height_cm])
        return brim_cm - self.surface_cm

    def leaf_area_m2(self, pick: Callable[[str, str, str], float] | None = None) -> float:
        """Return the leaf area of all plants [m2], one side; 0 without plants.

        Where it follows from the share they cover, `pick(table, name, property)` gives the leaf area over each covered
        area (None: the typical number of the table).
        """
        from terralab.materials import get  # late: tables are read only when a description needs them

        typical = lambda table, name, prop: get(table, name).typical(prop)  # noqa: E731
        return 0.0 if self.plants is None else self.plants.leaf_area_m2(self.floor_area_m2, pick or typical)

    def leaf_area_index(self, pick: Callable[[str, str, str], float] | None = None) -> float:
        """Return the leaf area over the floor that plants stand over: the share they cover, else the planted soil.

        0 without leaves, endless where leaves stand over no floor at all. `pick` as for `leaf_area_m2`.
        """
        area = self.leaf_area_m2(pick)
        if area == 0.0 or self.plants is None:
            return 0.0
        share = self.planted_share if self.plants.cover is None else self.plants.cover
        return area / (share * self.floor_area_m2) if share > 0.0 else math.inf

    def conflicts(self) -> Iterable[Problem]:
        if self.air_height_cm < LEAST_AIR_CM:
            yield self.problem(
                "height",
                f"given {cm(self.height_cm)}, but layers, cover and drainage layer are {cm(self.surface_cm)} deep",
                f"at least {cm(self.surface_cm + LEAST_AIR_CM)}",
                "Take a taller glass or thinner layers.",
            )
            return
        yield from self._wrong_drainage()
        yield from self._wrong_openings()
        yield from self._wrong_areas()
        for wrong in self.wrong_ground():
            yield self.problem(*wrong)
        for part in (self.plants, self.background, self.hide, self.basking):
            if part is not None:
                for wrong in part.wrong_in(self):
                    yield self.problem(*wrong)

    def _wrong_drainage(self) -> Iterable[Problem]:
        if self.tube and not self.drainage:
            yield self.problem(
                "tube",
                "given a tube without a drainage layer",
                "a tube only with a drainage layer",
                "Add enclosure.drainage, or leave the tube out.",
            )
        if self.drainage and self.drainage.level_cm > self.soil_top_cm:
            yield self.problem(
                "drainage.level",
                f"given {cm(self.drainage.level_cm)}, above the soil",
                f"0 to {cm(self.soil_top_cm)}",
                "Start with the water at or below the soil surface.",
            )
        most_wick = MOST_WICK * self.soil_area_m2 * 1e4
        if self.drainage and self.drainage.wick_area_cm2 > most_wick * (1.0 + 1e-9):
            yield self.problem(
                "drainage.wick_area",
                f"given {cm2(self.drainage.wick_area_cm2)}",
                f"0 to {cm2(most_wick)}, a tenth of the floor under the soil",
                "Give the cut surface of the cords, not their length: a cord 1 cm thick has 0.8 cm2.",
            )
        if self.tube and math.pi * (self.tube.diameter_cm / 2) ** 2 > 0.25 * self.floor_area_m2 * 1e4:
            yield self.problem(
                "tube.diameter",
                f"given {cm(self.tube.diameter_cm)}",
                "a quarter of the floor at most",
                "Check the unit.",
            )

    def _wrong_openings(self) -> Iterable[Problem]:
        used: dict[str, float] = {}
        for opening in self.openings:
            across, up = self.wall_cm(opening.wall)
            where = f"openings.{opening.name}"
            if opening.width_cm > across:
                yield self.problem(
                    f"{where}.width",
                    f"given {cm(opening.width_cm)}, wider than its wall",
                    f"at most {cm(across)}",
                    "Shrink it, or check which wall it is in.",
                )
            if opening.bottom_cm + opening.height_cm > up + 1e-9:
                yield self.problem(
                    f"{where}.height",
                    f"given {cm(opening.height_cm)} from {cm(opening.bottom_cm)} up, past the edge of its wall",
                    f"at most {cm(max(0.0, up - opening.bottom_cm))}",
                    "Shrink or lower it.",
                )
            if opening.wall != "lid" and opening.bottom_cm < self.surface_cm - 1e-9:
                yield self.problem(
                    f"{where}.bottom",
                    f"given {cm(opening.bottom_cm)}, below the surface of the soil",
                    f"at least {cm(self.surface_cm)}",
                    "Measure from the floor of the glass.",
                )
            used[opening.wall] = used.get(opening.wall, 0.0) + opening.area_cm2
        for wall, area in used.items():
            across, up = self.wall_cm(wall)
            if sum(opening.wall == wall for opening in self.openings) > 1 and area > across * up * (1 + 1e-9):
                yield self.problem(
                    "openings",
                    f"given {cm2(area)} in the wall {wall}",
                    f"at most {cm2(across * up)}",
                    "Openings of one wall must fit beside each other.",
                )

    def _wrong_areas(self) -> Iterable[Problem]:
        floor = self.floor_area_m2 * 1e4
        if self.dish and self.dish.area_cm2 > 0.9 * floor:
            yield self.problem(
                "dish.area",
                f"given {cm2(self.dish.area_cm2)}",
                f"at most {cm2(0.9 * floor)}",
                "The dish must fit on the floor beside some soil.",
            )
        if self.dish and self.dish.depth_cm > self.height_cm - (self.drainage.depth_cm if self.drainage else 0.0):
            yield self.problem(
                "dish.depth",
                f"given {cm(self.dish.depth_cm)}",
                "less than the height of the glass",
                "Check the unit.",
            )
        walls = 2 * (self.width_cm + self.front_to_back_cm) * self.height_cm
        if self.background_area_cm2 > walls:
            yield self.problem(
                "background_area",
                f"given {cm2(self.background_area_cm2)}",
                f"at most {cm2(walls)}, all four walls",
                "Count the side that faces the air.",
            )
        bark = self.wood_area_cm2 + self.background_area_cm2 + self.board_area_cm2
        if self.moss_on_wood_area_cm2 is not None and self.moss_on_wood_area_cm2 > bark * (1.0 + 1e-9):
            yield self.problem(
                "moss_on_wood_area",
                f"given {cm2(self.moss_on_wood_area_cm2)}",
                f"at most {cm2(bark)}, all wood and background",
                "Give wood_area and background_area with the parts under moss; moss on the soil is a share of enclosure.ground.",
            )

    @property
    def board_area_cm2(self) -> float:
        """Face in cm2 of a background that stands inside; 0 without one."""
        if self.background is None or not self.background.inside:
            return 0.0
        return math.fsum(self.wall_cm(wall)[0] for wall in self.background.walls) * self.air_height_cm

    def wall_cm(self, wall: str) -> tuple[float, float]:
        """Return width and height of a wall in cm; of the lid its width and its front-to-back size."""
        if wall == "lid":
            return self.width_cm, self.front_to_back_cm
        return (self.width_cm if wall in ("front", "back") else self.front_to_back_cm), self.height_cm
