"""The same box with other bottoms, side by side: what each does to water and air in the soil, and what it gives back."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import NamedTuple

import numpy as np

from terralab import materials
from terralab.answers.common.balance import AIR_WANTED
from terralab.answers.common.fair_rows import fair_rows_min
from terralab.describe.box import Box
from terralab.describe.enclosure import LEAST_AIR_CM, Drainage, Enclosure, Layer, Tube
from terralab.describe.routine import Pour
from terralab.describe.trial import Trial
from terralab.errors import TerralabError
from terralab.quantities import as_typed, quantity
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_many

DAYS = 28
SEEN_DAYS = 7  # the last week is averaged
NOON_S = 12 * 3600.0
OVER_MM = 5.0  # mm over the floor: the least that counts as over-watering here (a choice)
STANDARD = "expanded clay 8-16 mm"
WICK_SHARE = 0.003  # of the floor: about ten cords a centimetre thick under a floor of half a square metre (a choice)


class BottomKind(StrEnum):
    """What is different at the bottom."""

    LAYER = "the layer as described"
    SEALED = "no layer, sealed floor"
    HOLE = "no layer, drain hole"
    DEPTH = "a layer of another depth"
    STONES = "other stones"
    LEVEL = "water at another level"
    AT_MESH = "water at the mesh"
    WICK = "a wick"
    WICK_AND_LEVEL = "a wick, water at another level"
    TUBE = "open corner tube"
    MORE_SOIL = "more soil, no layer"
    COARSER = "coarser soil, no layer"


class Bottom(NamedTuple):
    """A bottom to compare: its kind, its name (measures are marks), and the box with it, or why that cannot be."""

    kind: BottomKind
    name: str
    trial: Box | str


@dataclass(frozen=True)
class BottomRow:
    """One way to build the bottom of a box, and what came of it. Measures in `name` are marks (`terralab.quantities`).

    Triples are the top, middle and bottom third of the soil. `water_percent` and `air_percent` are means of the last
    week [% of volume]. `airless_hours` are hours a day in which that third holds less than 10 % air. `wet_band_cm`:
    thickness of soil that holds less than 10 % air on the mean of the week. `drained_ml_per_day`: what came down, gross,
    over all weeks.
    `reserve_l`: water that still fits under the mesh at the end. `vapour`, `contact` and `wick` go up into the soil and
    so to the roots, `tube` goes to the air; gross, over all weeks [ml a day]. `gap_cm`: air under the mesh at the end.
    """

    name: str
    water_percent: tuple[float, float, float]
    air_percent: tuple[float, float, float]
    airless_hours: tuple[float, float, float]
    wet_band_cm: float
    drained_ml_per_day: float
    reserve_l: float | None
    gap_cm: float | None
    vapour_ml_per_day: float
    contact_ml_per_day: float
    wick_ml_per_day: float
    tube_ml_per_day: float
    kind: BottomKind = BottomKind.LAYER


def soil_span_cm(record: Record) -> tuple[float, float]:
    """Top and bottom of the soil mix [cm], below a moss cover that is computed with it."""
    bottom = record.cells_deep_cm
    return bottom - record.box.enclosure.soil_depth_cm, bottom


def thirds(record: Record, values: np.ndarray) -> np.ndarray:
    """Mean of a time-by-depth array over the top, middle and bottom third of the soil: time by three."""
    top, bottom = soil_span_cm(record)
    edges = np.linspace(top, bottom, 4)
    return np.stack([record.mean_over(values, edges[i], edges[i + 1]) for i in range(3)], axis=-1)


def airless(record: Record, rows: np.ndarray) -> np.ndarray:
    """True for the cells of the soil mix that hold less than 10 % air on the mean of the rows."""
    mix = record.depth_cm > soil_span_cm(record)[0]
    return (record.air_space[rows].mean(axis=0) < AIR_WANTED) & mix


def wet_band_cm(record: Record, rows: np.ndarray) -> float:
    """Thickness of soil [cm] that holds less than 10 % air on the mean of the rows: what is printed and what is drawn."""
    return 100.0 * float(airless(record, rows) @ record.cell_m)


def gross_ml_per_day(record: Record, way: str) -> float:
    """What the water below gave by "vapour", "contact", "wick" or "tube", or what "drained", ml a day of the whole run."""
    if not record.has_reservoir:
        return 1000.0 * float(record.moved_kg("drained_away").sum()) / record.days if way == "drained" else 0.0
    arrows = {"vapour": "vapour_up", "contact": "contact_up", "wick": "wick_up", "drained": "drained", "tube": "tube"}
    return 1000.0 * float(np.sum(record.arrow_kg(arrows[way]))) / record.days


def litres_under_mesh(record: Record, gap_cm: float) -> float:
    """Litres that fit into so many cm of the layer."""
    return max(0.0, gap_cm) * 10.0 * record.voids * record.floor_m2


def row_of(name: str, record: Record, kind: BottomKind = BottomKind.LAYER) -> BottomRow:
    """What a record says about its bottom."""
    days = record.days
    rows = record.rows(max(0.0, days - SEEN_DAYS), days)
    air = thirds(record, record.air_space[rows])
    water = thirds(record, record.soil_water[rows])
    gap = float(record.gap_below_mesh_cm[-1]) if record.has_reservoir else None
    triple = lambda x: tuple(round(float(v), 1) for v in x)  # noqa: E731
    return BottomRow(
        name=name,
        water_percent=triple(100.0 * water.mean(axis=0)),
        air_percent=triple(100.0 * air.mean(axis=0)),
        airless_hours=triple(24.0 * (air < AIR_WANTED).mean(axis=0)),
        wet_band_cm=round(wet_band_cm(record, rows), 1),
        drained_ml_per_day=round(gross_ml_per_day(record, "drained"), 1),
        reserve_l=None if gap is None else round(litres_under_mesh(record, gap), 2),
        gap_cm=None if gap is None else round(gap, 1),
        vapour_ml_per_day=round(gross_ml_per_day(record, "vapour"), 1),
        contact_ml_per_day=round(gross_ml_per_day(record, "contact"), 1),
        wick_ml_per_day=round(gross_ml_per_day(record, "wick"), 1),
        tube_ml_per_day=round(gross_ml_per_day(record, "tube"), 2),
        kind=kind,
    )


def over_ml(box: Box) -> float:
    """One over-watering [ml]: a week's water of the routine at once, and at least 5 mm over the soil (a choice)."""
    r = box.routine
    daily = sum(p.amount_ml / p.every_days for p in (*r.pours, *r.sprays)) + sum(m.water_ml_day for m in r.mists)
    return max(7.0 * daily, 1000.0 * OVER_MM * box.enclosure.soil_area_m2)


def overwatered(box: Box, siphons: tuple = ()) -> Box:
    """The box with one over-watering at noon of the first day, and only the `siphons` given (none by default)."""
    once = Pour(time_s=NOON_S, amount_ml=over_ml(box), over_min=10.0, every_days=366)
    routine = replace(box.routine, pours=(*box.routine.pours, once), siphons=siphons)
    return Trial.of(box, routine=routine)


def with_bottom(box: Box, drainage: Drainage | None, hole: bool = False, **enclosure: object) -> Box:
    """The box with another drainage layer, or none; what cannot stand without one is taken away with it."""
    e = box.enclosure
    tube = enclosure.pop("tube", e.tube if drainage is not None else None)
    pours = box.routine.pours
    if drainage is None or tube is None:
        pours = tuple(p for p in pours if p.into == "soil")
    siphons = box.routine.siphons if drainage is not None and drainage == e.drainage else ()
    routine = replace(box.routine, pours=pours, siphons=siphons)
    glass = replace(
        e,
        drainage=drainage,
        drain_hole=hole,
        tube=tube,
        mesh_barrier=e.mesh_barrier or drainage is not None,
        **enclosure,
    )
    return Trial.of(box, enclosure=glass, routine=routine)


def layer_of(box: Box) -> Drainage:
    """The described layer, or for a box without one 6 cm of expanded clay, or as much of it as fits.

    Raises TerralabError where `has_room` says that none does.
    """
    for trial in _layers_to_try(box):
        if trial == box.enclosure.drainage or _fits(box, trial):
            return trial
    raise TerralabError(f"{box.name}: no drainage layer of 2 cm or more fits under the soil of this glass.")


def has_room(box: Box) -> bool:
    """True where the box has a drainage layer, or one of 2 cm or more fits under its soil."""
    return any(trial == box.enclosure.drainage or _fits(box, trial) for trial in _layers_to_try(box))


def _layers_to_try(box: Box) -> tuple[Drainage, ...]:
    described = box.enclosure.drainage
    if described is not None:
        return (described,)
    return tuple(Drainage(material=STANDARD, depth_cm=depth) for depth in (6.0, 4.0, 2.0))


def _fits(box: Box, drainage: Drainage) -> bool:
    try:
        with_bottom(box, drainage)
    except TerralabError:
        return False
    return True


def bottoms(box: Box) -> list[Bottom]:
    """The bottoms to compare, the layer itself first."""
    d = layer_of(box)
    e = box.enclosure
    deep = as_typed("length", "cm", d.depth_cm)
    out = [Bottom(BottomKind.LAYER, f"layer {deep}" + (", as described" if e.drainage else ""), with_bottom(box, d))]

    def add(kind: BottomKind, name: str, drainage: Drainage | None, hole: bool = False, **enclosure: object) -> None:
        out.append(Bottom(kind, name, _tried(box, drainage, hole, **enclosure)))

    add(BottomKind.SEALED, "no layer, sealed floor", None)
    add(BottomKind.HOLE, "no layer, drain hole", None, hole=True)
    for depth, other in _other_depths(d):
        add(BottomKind.DEPTH, f"layer {quantity('cm', 'g', depth)}", other)
    for other in _other_stones(d):
        add(BottomKind.STONES, other.material, other)
    add(BottomKind.LEVEL, "no water below", replace(d, level_cm=0.0))
    for gap, words in ((1.0, quantity("cm", "g", 1.0)), (0.3, quantity("mm", "g", 3.0))):
        if gap < d.depth_cm:
            add(BottomKind.LEVEL, f"water {words} under the mesh", replace(d, level_cm=d.depth_cm - gap))
    add(BottomKind.AT_MESH, "water at the mesh", replace(d, level_cm=d.depth_cm))
    area = wick_cm2(box)
    cords = replace(d, wick_area_cm2=area)
    add(BottomKind.WICK, f"with a wick of {quantity('cm2', 'g', area)}", cords)
    if d.depth_cm > 1.0:
        lower = replace(cords, level_cm=d.depth_cm - 1.0)
        add(BottomKind.WICK_AND_LEVEL, f"the wick, water {quantity('cm', 'g', 1.0)} down", lower)
    tube = Tube(diameter_cm=e.tube.diameter_cm if e.tube else 3.0, capped=False)
    add(BottomKind.TUBE, "open corner tube", d, tube=tube)
    deeper = (*e.layers[:-1], replace(e.layers[-1], depth_cm=e.layers[-1].depth_cm + d.depth_cm))
    add(BottomKind.MORE_SOIL, f"{deep} more soil, no layer", None, layers=deeper)
    coarse = coarser_than(e.layers[-1].material)
    if coarse:
        layers = tuple(replace(layer, material=coarse) for layer in e.layers)
        add(BottomKind.COARSER, f"{coarse}, no layer", None, layers=layers)
    return out


def wick_cm2(box: Box) -> float:
    """The area of cord in the wick that is compared [cm2], to one figure."""
    return float(f"{WICK_SHARE * 1e4 * box.enclosure.soil_area_m2:.1g}")


def _other_depths(d: Drainage) -> list[tuple[float, Drainage]]:
    """The layer as deep as others build it [cm], at least one grain."""
    grain_mm = materials.get("aggregates", d.material).typical("grain_mm")
    level = min(d.level_cm, d.depth_cm)
    return [
        (depth, replace(d, depth_cm=depth, level_cm=max(0.0, min(level, depth - 1.0))))
        for depth in sorted({2.0, 4.0, 6.0, 8.0, d.depth_cm})
        if depth != d.depth_cm and depth * 10.0 >= grain_mm
    ]


def _other_stones(d: Drainage) -> list[Drainage]:
    """The same layer of the aggregate that lifts water highest, and of that which lifts it least."""
    rise = lambda name: materials.get("aggregates", name).typical("capillary_rise")  # noqa: E731
    ordered = sorted(materials.names("aggregates"), key=rise)
    out = []
    for name in (ordered[-1], ordered[0]):
        grain_cm = materials.get("aggregates", name).typical("grain_mm") / 10.0  # a layer is at least one grain thick
        if name != d.material:
            out.append(replace(d, material=name, void_fraction=None, depth_cm=max(d.depth_cm, grain_cm)))
    return out


def coarser_than(material: str) -> str | None:
    """The mix that holds most air at 10 cm of suction, if it holds more than `material`; None for the coarsest."""
    from terralab.soil.hydraulics import Soil

    def air(name: str) -> float:
        soil = Soil.from_material(name)
        return float(soil.theta_s - soil.water_content(-0.1))

    mixes = [name for name in ("coarse coir mix", "bark and peat mix") if name in materials.names("substrates")]
    better = [name for name in mixes if name != material and air(name) > air(material) + 0.02]
    return max(better, key=air) if better else None


def _tried(box: Box, drainage: Drainage | None, hole: bool = False, **enclosure: object) -> Box | str:
    try:
        return with_bottom(box, drainage, hole, **enclosure)
    except TerralabError as error:
        return _too_high(box.enclosure, drainage, enclosure.get("layers", box.enclosure.layers)) or " ".join(
            str(error).split()
        )


def _too_high(e: Enclosure, drainage: Drainage | None, layers: tuple[Layer, ...]) -> str:
    """That the soil would reach too high in the glass over such a bottom, measures as marks; "" where it would not."""
    top = math.fsum(layer.depth_cm for layer in layers) + (0.0 if drainage is None else drainage.depth_cm)
    top += 0.0 if e.cover is None else e.cover.depth_cm
    reaches = (
        f"soil and cover would reach {quantity('cm', '.3g', top)}"
        if e.cover
        else f"the soil would reach {quantity('cm', '.3g', top)}"
    )
    walls = [o for o in e.openings if o.wall != "lid"]
    lowest = min(walls, key=lambda o: o.bottom_cm, default=None)
    if lowest is not None and lowest.bottom_cm < top:
        return f'{reaches}, over the foot of "{lowest.name}" at {as_typed("length", "cm", lowest.bottom_cm)}.'
    if top > e.height_cm - LEAST_AIR_CM:
        return f"{reaches}, in a glass {as_typed('length', 'cm', e.height_cm)} high."
    return ""


def compare(
    box: Box, days: int = DAYS, season: str = "now", accuracy: str = "preview", short: bool = False
) -> tuple[list[BottomRow], list[str]]:
    """Rows for every bottom that fits, and what did not fit, with the reason.

    Each is run for `days` from its held moisture with the routine as described, one over-watering at noon of the
    first day and no siphoning. Typical numbers throughout: compare rows with each other. `short`: only the layer, no
    layer, and no layer with a drain hole, for a box in which nothing drains. Raises RunError where the first cannot be run.
    """
    wanted = bottoms(box)[: 3 if short else None]
    fitting = [bottom for bottom in wanted if isinstance(bottom.trial, Box)]
    left_out = [f"{bottom.name}: {bottom.trial}" for bottom in wanted if isinstance(bottom.trial, str)]
    every = fair_rows_min(box, 60.0, season)
    jobs = [
        Job(overwatered(bottom.trial), days, season, accuracy=accuracy, record_every_min=every) for bottom in fitting
    ]
    found = run_many(jobs, failed="error")
    if isinstance(found[0], TerralabError):
        raise found[0]  # every other row is held against the layer itself
    rows = []
    for bottom, record in zip(fitting, found, strict=True):
        if isinstance(record, TerralabError):
            left_out.append(f"{bottom.name}: {' '.join(str(record).split())}")
        else:
            rows.append(row_of(bottom.name, record, bottom.kind))
    return rows, left_out
