"""What can be moved in a panel: sliders and choices in the keeper's words, each knowing its entry of the box."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from terralab import materials
from terralab.answers.drainage.statements import DESCRIBED, RECOMMENDED
from terralab.describe.box import Box
from terralab.measured import Measured
from terralab.quantities import METRIC
from terralab.uncertainty.overrides import shifted
from terralab.units import convert

_AFTERNOON_S = 15 * 3600.0
Changes = dict[str, Any]


@dataclass(frozen=True)
class Scale:
    """How a slider runs in one system of units: unit, least, most and step. `step` decides the digits shown."""

    unit: str
    low: float
    high: float
    step: float

    @property
    def digits(self) -> int:
        """Digits after the point."""
        return 0 if self.step >= 1 else 1 if self.step >= 0.1 else 2


@dataclass(frozen=True)
class Slide:
    """A slider. `read` gives its value in the first scale's unit, None where the box has no such thing; `write` gives
    the changes of the box (words as in `Box.change`) for a value in that unit. `us` None: the same in both systems.
    `chooses`: (key of a choice, value) that moving it chooses as well.
    """

    key: str
    words: str
    metric: Scale
    read: Callable[[Box], float | None]
    write: Callable[[Box, float], Changes]
    us: Scale | None = None
    quantity: str = ""
    chooses: tuple[str, Any] | None = None

    def scale(self, system: str) -> Scale:
        """The scale in a system of units."""
        return self.metric if system == METRIC or self.us is None else self.us

    def shown(self, value: float, system: str) -> float:
        """A value in the first scale's unit, turned into the unit of `system`."""
        end = self.scale(system).unit
        if isinstance(value, Measured) and value.unit == end:
            return value.amount  # what was typed, to the last digit
        return value if end == self.metric.unit else convert(value, self.quantity, self.metric.unit, end)

    def inside(self, value: float, system: str) -> float:
        """The way back: a value as the slider shows it, in the first scale's unit; it is kept in mind as it was set."""
        start = self.scale(system).unit
        if start == self.metric.unit:
            return value
        return Measured(float(f"{value:.12g}"), start, self.metric.unit, self.quantity)


@dataclass(frozen=True)
class Choice:
    """A list to choose from: (words, value) pairs; `read` and `write` as in `Slide`. `last`: written when all else is."""

    key: str
    words: str
    options: tuple[tuple[str, Any], ...]
    read: Callable[[Box], Any]
    write: Callable[[Box, Any], Changes]
    last: bool = False


def _shifted(box: Box, name: str, by: float) -> Changes:
    """The room's course moved as a whole: what a slider does where the room is not simply day and night."""
    return {f"room.{name}": shifted(box.room.now, {f"room.{name}": by}).write()[name]}


def _write_day(box: Box, value: float) -> Changes:
    now = box.room.now.temperature
    if now.day is not None:
        return {"room.temperature.day": value}
    return _shifted(box, "temperature", value - float(now.at(_AFTERNOON_S)))


def _write_humidity(box: Box, value: float) -> Changes:
    return _shifted(box, "humidity", value - float(box.room.now.humidity.at(_AFTERNOON_S)))


def _lid(box: Box) -> list[str]:
    return [opening.name for opening in box.enclosure.openings if opening.wall == "lid"]


def _read_covered(box: Box) -> float | None:
    shares = [o.covered for o in box.enclosure.openings if o.wall == "lid"]
    return 100.0 * shares[0] if shares else None


def _write_covered(box: Box, value: float) -> Changes:
    return {f"enclosure.openings.{name}.covered": value / 100.0 for name in _lid(box)}


def _first(box: Box, kind: str, into: str = "") -> tuple[int, Any] | None:
    """The first pour or spray of the routine: (number from 1, it)."""
    found = [(n, one) for n, one in enumerate(getattr(box.routine, kind), 1) if not into or one.into == into]
    return found[0] if found else None


def _write_water(kind: str, time: str, into: str = "") -> Callable[[Box, float], Changes]:
    def write(box: Box, value: float) -> Changes:
        found = _first(box, kind, into)
        if found is None:
            others = box.write().get("routine", {}).get(kind, [])
            return {f"routine.{kind}": [*others, {"time": time, "amount": value}]} if value > 0 else {}
        return {f"routine.{kind}.{found[0]}": None} if value <= 0 else {f"routine.{kind}.{found[0]}.amount": value}

    return write


def _read_water(kind: str, into: str = "") -> Callable[[Box], float]:
    def read(box: Box) -> float:
        found = _first(box, kind, into)
        return 0.0 if found is None else found[1].amount_ml

    return read


def _fan(box: Box) -> Any:
    return next((fan for fan in box.routine.fans if fan.mode == "exchange"), None)


def _write_minutes(box: Box, value: float) -> Changes:
    fan = _fan(box)
    if value <= 0:
        return {f"routine.fans.{fan.name}": None}
    timer = ["08:00-20:00"] if value >= 60 else [f"{value:g} min every 1 h from 08:00 to 20:00"]
    here = f"routine.fans.{fan.name}"
    return {f"{here}.timer": timer, **{f"{here}.{key}": None for key in ("timer_winter", "timer_summer", "control")}}


ROOM_DAY = Slide(
    "room_day", "Room by day", Scale("C", 10, 32, 0.5), lambda b: float(b.room.now.temperature.at(_AFTERNOON_S)),
    _write_day, Scale("F", 50, 90, 0.1), "temperature",
)  # fmt: skip
ROOM_NIGHT = Slide(
    "room_night", "Room by night", Scale("C", 8, 30, 0.5), lambda b: b.room.now.temperature.night,
    lambda b, v: {"room.temperature.night": v}, Scale("F", 46, 86, 0.1), "temperature",
)  # fmt: skip
ROOM_HUMIDITY = Slide(
    "room_humidity", "Room humidity", Scale("%", 15, 85, 1), lambda b: float(b.room.now.humidity.at(_AFTERNOON_S)),
    _write_humidity,
)  # fmt: skip
COVERED = Slide("covered", "Mesh lid covered", Scale("%", 0, 100, 1), _read_covered, _write_covered)
WIDTH = Slide(
    "width", "Glass, width inside", Scale("cm", 20, 180, 1), lambda b: b.enclosure.width_cm,
    lambda b, v: {"enclosure.width": v}, Scale("in", 8, 72, 0.1), "length",
)  # fmt: skip
FRONT_TO_BACK = Slide(
    "front_to_back", "Glass, front to back", Scale("cm", 20, 90, 1), lambda b: b.enclosure.front_to_back_cm,
    lambda b, v: {"enclosure.front_to_back": v}, Scale("in", 8, 36, 0.1), "length",
)  # fmt: skip
HEIGHT = Slide(
    "height", "Glass, height", Scale("cm", 20, 150, 1), lambda b: b.enclosure.height_cm,
    lambda b, v: {"enclosure.height": v}, Scale("in", 8, 60, 0.1), "length",
)  # fmt: skip
SOIL_DEPTH = Slide(
    "soil_depth", "Soil, depth of top layer", Scale("cm", 2, 25, 0.5), lambda b: b.enclosure.layers[0].depth_cm,
    lambda b, v: {"enclosure.layers.1.depth": v}, Scale("in", 1, 10, 0.1), "length",
)  # fmt: skip
SOIL = Choice(
    "soil", "Soil, top layer", tuple((name, name) for name in materials.names("substrates")),
    lambda b: b.enclosure.layers[0].material, lambda b, v: {"enclosure.layers.1.material": v},
)  # fmt: skip
LEAVES = Slide(
    "leaves", "Leaves, one side", Scale("cm2", 0, 10000, 100),
    lambda b: b.enclosure.plants.leaf_area_cm2 if b.enclosure.plants else None,
    lambda b, v: {"enclosure.plants.leaf_area": v}, Scale("in2", 0, 1550, 1), "area",
)  # fmt: skip
SPRAY = Slide(
    "spray", "Sprayed at a time", Scale("ml", 0, 200, 5), _read_water("sprays"), _write_water("sprays", "19:00"),
    Scale("fl oz", 0, 7, 0.1), "volume",
)  # fmt: skip
#: Which pour is asked about: no part of the box, so nothing is written into it. Every other face takes the recommended one.
POURED = Choice(
    "poured", "Water poured", (("as recommended", RECOMMENDED), ("as set below", DESCRIBED)),
    lambda b: RECOMMENDED, lambda b, v: {},
)  # fmt: skip
POUR = Slide(
    "pour", "Poured at a time", Scale("ml", 0, 500, 10), _read_water("pours", "soil"),
    _write_water("pours", "08:00", "soil"), Scale("fl oz", 0, 17, 0.1), "volume", ("poured", DESCRIBED),
)  # fmt: skip
FOR_WHOM = Choice(
    "group", "Kept for", (("nobody in particular", ""), *((name, name) for name in materials.names("groups"))),
    lambda b: b.group, lambda b, v: {"group": v},
)  # fmt: skip
LAYER = Slide(
    "layer", "Drainage layer, depth", Scale("cm", 2, 15, 0.5),
    lambda b: b.enclosure.drainage.depth_cm if b.enclosure.drainage else None,
    lambda b, v: {"enclosure.drainage.depth": v}, Scale("in", 0.7, 6, 0.1), "length",
)  # fmt: skip
LEVEL = Slide(
    "level", "Water standing in it", Scale("cm", 0, 15, 0.1),
    lambda b: b.enclosure.drainage.level_cm if b.enclosure.drainage else None,
    lambda b, v: {"enclosure.drainage.level": v}, Scale("in", 0, 6, 0.02), "length",
)  # fmt: skip
GRAINS = Choice(
    "grains", "Grains of the layer", tuple((name, name) for name in materials.names("aggregates")),
    lambda b: b.enclosure.drainage.material if b.enclosure.drainage else None,
    lambda b, v: {"enclosure.drainage.material": v},
)  # fmt: skip
FAN_FLOW = Slide(
    "fan_flow", "Exchange fan, through the mesh", Scale("m3/h", 0.1, 10, 0.1),
    lambda b: _fan(b).flow_m3_h if _fan(b) else None, lambda b, v: {f"routine.fans.{_fan(b).name}.flow": v},
    Scale("cfm", 0.05, 6, 0.05), "air flow",
)  # fmt: skip
FAN_MINUTES = Slide(
    "fan_minutes", "Fan on, by day, each hour", Scale("min", 0, 60, 1),
    lambda b: min(60.0, _fan(b).timer.on_s / 60.0 / 12.0) if _fan(b) else None, _write_minutes,
)  # fmt: skip


def known(
    key: str, words: str, of: Callable[[Box], tuple[str, float, float, float, str] | None], careful: str, off: str
) -> Choice:
    """A choice of how well one entry is known: by eye (the tables' range), or measured, within a stated span.

    `of` gives (place, value, low, high, unit), or None where the box has no such thing. `careful`: what was done, and
    `off` how far it may be off.
    """

    def write(box: Box, value: str) -> Changes:
        place, _, low, high, unit = of(box)
        kept = [{"of": r.of, "low": r.low, "high": r.high} for r in box.ranges if r.of != place]
        own = [{"of": place, "low": f"{low:.5g} {unit}", "high": f"{high:.5g} {unit}"}] if value == "measured" else []
        return {"ranges": kept + own}

    def read(box: Box) -> str | None:
        found = of(box)
        if found is None:
            return None
        return "measured" if any(r.of == found[0] for r in box.ranges) else "eye"

    return Choice(key, words, (("by eye", "eye"), (f"{careful} ({off})", "measured")), read, write, last=True)


def _span(value: float, off: float) -> tuple[float, float, float]:
    return value, value * (1.0 - off), value * (1.0 + off)


def _leaves(box: Box) -> tuple | None:
    plants, off = box.enclosure.plants, materials.get("measurements", "ten leaves traced").typical("relative_error")
    if plants is None or plants.leaf_area_cm2 is None:
        return None  # the share they cover is no count of leaves
    return ("enclosure.plants.leaf_area", *_span(plants.leaf_area_cm2, off), "cm2")


def _flow(box: Box) -> tuple | None:
    fan, off = _fan(box), materials.get("measurements", "fan and bag").typical("relative_error")
    if fan is None or fan.flow_m3_h is None:
        return None
    return (f"routine.fans.{fan.name}.flow", *_span(fan.flow_m3_h, off), "m3/h")


def _cover(box: Box) -> tuple | None:
    share, off = _read_covered(box), 100.0 * materials.get("measurements", "ruler on the lid").typical("share_error")
    if share is None:
        return None
    place = f"enclosure.openings.{_lid(box)[0]}.covered"
    return (place, share, max(0.0, share - off), min(100.0, share + off), "%")


LEAVES_KNOWN = known("leaves_known", "Leaves", _leaves, "ten leaves traced", "within 20 %")
FLOW_KNOWN = known("flow_known", "Fan", _flow, "fan and bag", "within 15 %")
COVER_KNOWN = known("cover_known", "Mesh lid", _cover, "ruler on the lid", "within 2 points")


def described(controls: tuple[Slide | Choice, ...], box: Box) -> dict[str, Any]:
    """What each control reads off a box; those the box has nothing for are left out."""
    found = {control.key: control.read(box) for control in controls}
    return {key: value for key, value in found.items() if value is not None}


def with_values(box: Box, controls: tuple[Slide | Choice, ...], values: Mapping[str, Any]) -> Box:
    """The box with the controls that were moved written into it. Raises DescriptionError for what cannot be."""
    first = [control for control in controls if control.key in values and not getattr(control, "last", False)]
    changes: Changes = {}
    for control in first:
        changes |= control.write(box, values[control.key])
    gone = tuple(f"{path}." for path, value in changes.items() if value is None)
    changes = {path: value for path, value in changes.items() if not (gone and path.startswith(gone))}
    # A range of the keeper's own was about the described value, not about the one slid to.
    kept = [{"of": r.of, "low": r.low, "high": r.high} for r in box.ranges if r.of not in changes]
    if len(kept) < len(box.ranges):
        changes["ranges"] = kept
    box = box.change(**changes)
    for control in controls:
        if control.key in values and getattr(control, "last", False):
            box = box.change(**control.write(box, values[control.key]))
    return box
