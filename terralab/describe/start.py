"""How a box stands at the start: a word for its soil, and whatever of it was measured."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Self

from terralab.describe.fields import Parts, Words, choice, entry, measure
from terralab.describe.part import Described
from terralab.errors import Problem, advice, quoted
from terralab.measured import with_unit
from terralab.quantities import as_typed
from terralab.units import show

if TYPE_CHECKING:
    from terralab.describe.enclosure import Enclosure

_MOST_READINGS = 200
_SAME_DEPTH_CM = 1e-9


@dataclass(frozen=True, slots=True)
class Reading(Described):
    """What a probe shows in the soil, at a depth or in a whole layer.

    Either `depth_cm`, 0 to 300, below the surface (of a moss cover where there is one), or `layer`: the material of a
    layer, or its number from the top. `suction_kpa`, 0 to 1,000,000, as a tensiometer shows it, or `water`, 0 to 1, the
    share of the volume that is water; `temperature_c`, -10 to 60. At least one of the three, and not both of the first
    two. Between depths the suction runs on smoothly; above the first and below the last it stays.
    """

    word: ClassVar[str] = "reading"

    depth_cm: float | None = measure("length", "cm", 0, 300, None)
    layer: str = entry(Words(200), "")
    suction_kpa: float | None = measure("pressure", "kPa", 0, 1_000_000, None, key="suction")
    water: float | None = measure("share", "share", 0, 1, None)
    temperature_c: float | None = measure("temperature", "C", -10, 60, None, key="soil_temperature")

    @property
    def of_water(self) -> bool:
        """True where suction or water content was read."""
        return self.suction_kpa is not None or self.water is not None

    def conflicts(self) -> Iterable[Problem]:
        if (self.depth_cm is None) == (not self.layer):
            given = "given both depth and layer" if self.layer else "nothing given"
            yield self.problem("depth", given, 'a depth such as "5 cm", or a layer', "Give one of the two.")
        if self.suction_kpa is not None and self.water is not None:
            yield self.problem("water", "given beside suction", "one of the two", "Keep the one that was measured.")
        elif not self.of_water and self.temperature_c is None:
            yield self.problem(
                "suction",
                "nothing given",
                "suction, water or temperature",
                'Write suction = "5 kPa" or water = "35 %".',
            )


@dataclass(frozen=True, slots=True)
class Start(Described):
    """How wet and how warm the box is now, at the start; how the soil is to be kept is `Box.soil_wanted`.

    `soil`: "drained-moist" (watered and drained), "dry" (stood unwatered for months) or "wet" (just
    saturated to the brim of the mix). All else is what was measured (None: in balance with room and routine):
    `air_temperature_c` and `soil_temperature_c`, `drainage_temperature_c` (of the water below), -10 to 60 C;
    `air_humidity`, 0 to 100 % RH; `glass_film_g_m2` and `leaf_film_g_m2`, 0 to 2,000, and `cover_film_g_m2`, 0 to
    50,000: water on panes, on leaves, in moss or litter; `dish_cm`, 0 to 50: water in the dish. `readings` of the soil
    outrank the word for it. The level of the water below is `drainage.level_cm`.
    """

    word: ClassVar[str] = "start"

    soil: str = choice("start", "drained-moist", "dry", "wet", default="drained-moist")
    air_temperature_c: float | None = measure("temperature", "C", -10, 60, None, key="air_temperature")
    air_humidity: float | None = measure("humidity", "%", 0, 100, None)
    soil_temperature_c: float | None = measure("temperature", "C", -10, 60, None, key="soil_temperature")
    drainage_temperature_c: float | None = measure("temperature", "C", -10, 60, None, key="drainage_temperature")
    glass_film_g_m2: float | None = measure("water film", "g/m2", 0, 2000, None, key="glass_film")
    leaf_film_g_m2: float | None = measure("water film", "g/m2", 0, 2000, None, key="leaf_film")
    cover_film_g_m2: float | None = measure("water film", "g/m2", 0, 50_000, None, key="cover_film")
    dish_cm: float | None = measure("length", "cm", 0, 50, None)
    readings: tuple[Reading, ...] = entry(Parts(Reading, most=_MOST_READINGS), ())

    @property
    def measured(self) -> bool:
        """True where more is known than the word for the soil."""
        return self != Start(self.soil)

    def with_soil(self, word: str) -> Self:
        """Return the start with soil as `word` says: what was measured belonged to another."""
        return type(self)(word)

    def wrong_in(self, glass: Enclosure) -> Iterable[tuple[str, str, str, str]]:
        """Yield what does not fit the glass: entry, given, allowed and what to do."""
        for key, there, lacks in (
            ("leaf_film", self.leaf_film_g_m2 is None or glass.plants is not None, "enclosure.plants"),
            ("cover_film", self.cover_film_g_m2 is None or glass.cover is not None, "enclosure.cover"),
            ("drainage_temperature", self.drainage_temperature_c is None or glass.drainage is not None, "drainage"),
            ("dish", self.dish_cm is None or glass.dish is not None, "enclosure.dish"),
        ):
            if not there:
                yield f"start.{key}", "given without its part", f"only with {lacks}", "Add the part, or leave it out."
        if self.dish_cm is not None and glass.dish is not None and self.dish_cm > glass.dish.depth_cm + 1e-9:
            yield (
                "start.dish",
                f"given {as_typed('length', 'cm', self.dish_cm)}",
                f"at most {as_typed('length', 'cm', glass.dish.depth_cm)}, the depth of the dish",
                "Measure the depth of the water.",
            )
        yield from self._wrong_readings(glass)

    def _wrong_readings(self, glass: Enclosure) -> Iterable[tuple[str, str, str, str]]:
        from terralab.materials import get  # late: tables are read only when a description needs them

        layers = glass.porous_layers
        deep_cm = 100.0 * sum(thick for _, thick in layers)
        seen: list[float | int] = []
        for number, reading in enumerate(self.readings, 1):
            where = f"start.readings.{number}"
            found = reading_layers(reading, glass)
            if not found:
                names = [material for material, _ in layers]
                yield (
                    f"{where}.layer",
                    f"given {quoted(reading.layer)}",
                    "a layer of this box",
                    advice(reading.layer, names),
                )
                continue
            if reading.depth_cm is not None and reading.depth_cm > deep_cm + 1e-6:
                yield (
                    f"{where}.depth",
                    f"given {as_typed('length', 'cm', reading.depth_cm)}",
                    f"at most {as_typed('length', 'cm', deep_cm)}, the depth of the soil",
                    "Measure from the surface down.",
                )
                continue
            here = [-1 - layer for layer in found] if reading.depth_cm is None else [reading.depth_cm]
            if any(abs(one - other) < _SAME_DEPTH_CM for one in here for other in seen):
                yield (
                    where,
                    "given twice for one place",
                    "one reading for each depth or layer",
                    "Leave one of them out.",
                )
            seen += here
            full = min(get("substrates", layers[layer][0]).typical("theta_s") for layer in found)
            if reading.water is not None and reading.water > full:
                yield (
                    f"{where}.water",
                    f"given {show(100 * reading.water, 'humidity', '%', 4)}",
                    f"at most {show(100 * full, 'humidity', '%', 4)}, which fills every pore of its mix",
                    "Give the share of the volume, not of the weight.",
                )


def reading_layers(reading: Reading, glass: Enclosure) -> list[int]:
    """Return the numbers from 0 of the layers that a reading speaks of: its own, or the one at its depth."""
    layers = glass.porous_layers
    if reading.depth_cm is None:
        if reading.layer.isdigit():
            return [int(reading.layer) - 1] if 0 < int(reading.layer) <= len(layers) else []
        wanted = " ".join(reading.layer.split()).lower()
        return [n for n, (material, _) in enumerate(layers) if material.lower() == wanted]
    bottom_cm = 0.0
    for n, (_, thick) in enumerate(layers):
        bottom_cm += 100.0 * thick
        if reading.depth_cm <= bottom_cm + 1e-9:
            return [n]
    return [len(layers) - 1]


_SOIL = {
    "drained-moist": "At the start the soil is watered and drained.",
    "dry": "At the start the soil is dry, as after months without water.",
    "wet": "At the start the soil is just saturated.",
}


def start_words(start: Start) -> str:
    """Say how the box stands at the start, in a sentence or two."""
    said = [_SOIL[start.soil]]
    read = [one for one in start.readings if one.of_water]
    if read:
        said = [f"At the start the soil is as {len(read)} readings of a probe say, and else {_ELSE[start.soil]}."]
        if len(read) == 1:
            said = [f"At the start the soil is as a reading of a probe says, and else {_ELSE[start.soil]}."]
    known = [
        f"{words} {with_unit(value, quantity, unit)}"
        for words, value, quantity, unit in (
            ("air of", start.air_temperature_c, "temperature", "C"),
            ("a humidity of", start.air_humidity, "humidity", "%"),
            ("soil of", start.soil_temperature_c, "temperature", "C"),
            ("water below of", start.drainage_temperature_c, "temperature", "C"),
            ("water on the glass of", start.glass_film_g_m2, "water film", "g/m2"),
            ("water on the leaves of", start.leaf_film_g_m2, "water film", "g/m2"),
            ("water in the cover of", start.cover_film_g_m2, "water film", "g/m2"),
            ("water in the dish of", start.dish_cm, "length", "cm"),
        )
        if value is not None
    ]
    if known:
        said.append(f"Measured then: {', '.join(known)}.")
    return " ".join(said)


_ELSE = {"drained-moist": "watered and drained", "dry": "dry", "wet": "saturated"}
