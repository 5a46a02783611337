"""Read the settings of a soil column: its layers and cells, the duration, what top and base do."""

from __future__ import annotations

import math

import numpy as np

from terralab.errors import DescriptionError, quoted
from terralab.soil import arrays as engine
from terralab.soil.hydraulics import ExponentialSoil, Soil, as_soil
from terralab.soil.time_steps import STUCK
from terralab.units import DAY_S, HOUR_S
from terralab.validate import number, numbers

MM_PER_H = 1.0e-3 / HOUR_S
MM_PER_DAY = 1.0e-3 / DAY_S
CM = 0.01
LONGEST_S = 3653.0 * DAY_S
MAX_TIMES = 100_000
MAX_PIECES = 10_000
MAX_CELLS = 5000
LOWEST_HEAD_CM = -1.0e7  # where even oven-dry soil holds no water
HIGHEST_HEAD_CM = 1000.0
SUCTION_HINT = "Suction is a negative head: write 20 cm of suction as -20."

#: What may happen at the top and at the base, in words.
TOPS = {"flux": engine.FLUX, "head": engine.HEAD, "evaporation": engine.LIMITED}
BOTTOMS = {
    "no flow": engine.SEALED,
    "seepage face": engine.SEEPAGE,
    "free drainage": engine.FREE,
    "fixed head": engine.FIXED_HEAD,
}

#: A course in pieces: times from which a value holds (s, the first is 0), and the values (SI).
Pieces = tuple[np.ndarray, np.ndarray]


def read_layers(given: object) -> tuple[tuple[Soil | ExponentialSoil, float], ...]:
    """Return the layers as pairs (soil, depth in cm); names become soils. Raises `DescriptionError`."""
    allowed = "1 to 50 pairs (soil, depth_cm), from the top down"
    example = 'Write for example [("fine coir mix", 8), ("washed sand", 2)].'
    if isinstance(given, (str, bytes, dict)) or not np.iterable(given):
        raise DescriptionError.of("layers", f"given {quoted(given)}", allowed, example)
    layers = tuple(given)
    if not 1 <= len(layers) <= 50:
        raise DescriptionError.of("layers", f"given {len(layers)} of them", allowed, example)
    made = []
    for place, layer in enumerate(layers, 1):
        if not isinstance(layer, (tuple, list)) or len(layer) != 2:
            raise DescriptionError.of(f"layers.{place}", f"given {quoted(layer)}", "a pair (soil, depth_cm)", example)
        soil = as_soil(layer[0], f"layers.{place}.soil")
        made.append((soil, number(f"layers.{place}.depth_cm", layer[1], 0.01, 1000.0, "cm")))
    return tuple(made)


def cut(depths: list[float], first: float, grading: float, largest: float) -> tuple[np.ndarray, np.ndarray]:
    """Cut layers into cells that start at `first`, grow by `grading` up to `largest`, and fit each layer.

    All lengths in cm. Gives the thickness of each cell and the layer it belongs to, from 1.
    """
    thickness: list[float] = []
    layer_of: list[int] = []
    size = first
    for layer, depth in enumerate(depths, 1):
        sizes: list[float] = []
        left = depth
        while left > 1e-9 * depth and len(sizes) <= MAX_CELLS:
            alike = size >= largest or grading == 1.0
            count = min(math.ceil(left / size - 1e-9), MAX_CELLS + 1) if alike else 1
            sizes += [size] * count
            left -= size * count
            size = min(size * grading, largest)
        if len(thickness) + len(sizes) > MAX_CELLS:
            raise DescriptionError.of(
                "cell_cm",
                f"given {largest:g} cm",
                f"cells so thick that at most {MAX_CELLS} are needed",
                "Take thicker cells.",
            )
        fit = depth / math.fsum(sizes)
        thickness += [fit * raw for raw in sizes]
        layer_of += [layer] * len(sizes)
    return np.array(thickness), np.array(layer_of)


def read_duration(days: object, hours: object, seconds: object) -> tuple[float, float]:
    """Return the unit (s) and the length (s) of a run from the one of the three that was given."""
    units = {"days": (days, DAY_S), "hours": (hours, HOUR_S), "seconds": (seconds, 1.0)}
    given = [name for name, (value, _) in units.items() if value is not None]
    if len(given) != 1:
        raise DescriptionError.of(
            "days", f"given {' and '.join(given) or 'nothing'}", "just one of days, hours and seconds"
        )
    value, unit = units[given[0]]
    return unit, unit * number(given[0], value, 1e-6 / unit, LONGEST_S / unit, given[0])


def read_times(times: object, unit: float, end: float) -> np.ndarray:
    """Return the times to note (s): those given in `unit`s, or 101 even ones from 0 to `end`."""
    if times is None:
        return np.linspace(0.0, end, 101)
    # A last time that is the end but for its last digits, as in 0.1 + 0.1 + ..., is the end.
    latest = end / unit * (1.0 + 1e-9)
    noted = np.atleast_1d(numbers("times", times, 0.0, latest, "(in the unit of the duration)")) * unit
    noted[np.abs(noted - end) <= 1e-9 * end] = end
    if noted.ndim != 1 or not 1 <= noted.size <= MAX_TIMES:
        raise DescriptionError.of("times", f"given {noted.size} times", f"a list of 1 to {MAX_TIMES} times")
    if not (np.diff(noted) > 0.0).all():
        raise DescriptionError.of("times", "given times that do not rise", "each later than the one before")
    return noted


def read_top(kind: int, flux: object, head: object, demand: object) -> Pieces:
    """Return the course at the top (m/s or m) from the one setting that `kind` needs."""
    drawn = -MM_PER_DAY
    settings = {
        engine.FLUX: ("top_flux_mm_per_h", flux, -1e5, 1e5, "mm/h", MM_PER_H, 'top="flux"'),
        engine.HEAD: ("top_head_cm", head, LOWEST_HEAD_CM, HIGHEST_HEAD_CM, "cm", CM, 'top="head"'),
        engine.LIMITED: ("demand_mm_per_day", demand, 0.0, 1000.0, "mm/day", drawn, 'top="evaporation"'),
    }
    for other, (field, value, *_, needed) in settings.items():
        if other != kind and value is not None:
            raise idle(field, needed)
    field, value, lowest, highest, unit, factor, needed = settings[kind]
    if value is None and kind == engine.FLUX:
        value = 0.0
    if value is None:
        raise DescriptionError.of(
            field, "given nothing", f"a number from {lowest:g} to {highest:g} {unit}", f"{needed} needs it."
        )
    return _course(field, value, lowest, highest, unit, factor)


def read_bottom(kind: int, head: object) -> Pieces:
    """Return the course of the head at the base (m); only a seepage face and a fixed head have one."""
    field = "bottom_head_cm"
    if kind in (engine.SEALED, engine.FREE):
        if head is not None:
            raise idle(field, 'bottom="fixed head" or "seepage face"')
        return _course(field, 0.0, 0.0, 0.0, "cm", CM)
    if kind == engine.SEEPAGE:
        return _course(field, 0.0 if head is None else head, -1000.0, 0.0, "cm", CM)
    if head is None:
        allowed = f"a number from {LOWEST_HEAD_CM:g} to {HIGHEST_HEAD_CM:g} cm"
        raise DescriptionError.of(field, "given nothing", allowed, "Write 0 for water standing at the base.")
    return _course(field, head, LOWEST_HEAD_CM, HIGHEST_HEAD_CM, "cm", CM)


def held(pieces: Pieces, starts: np.ndarray) -> np.ndarray:
    """Return the values of a course in pieces at each of the times `starts` (s)."""
    return pieces[1][np.searchsorted(pieces[0], starts, side="right") - 1]


def idle(field: str, needed: str) -> DescriptionError:
    """Say that a setting was given that nothing would read."""
    return DescriptionError.of(field, "given a value", f"only together with {needed}", "Leave one out.")


def excuse(status: int, reached: float, top_kind: int) -> str:
    """Say in plain words why a run stopped, after `reached` s, and what to try."""
    when = f"The run stopped after {reached:.4g} s"
    if status != STUCK:
        return f"{when}: it takes too much work. Take thicker cells, a shorter time or a larger tolerance."
    if top_kind == engine.FLUX:
        return (
            f"{when}: no step, however short, could be solved. Soil cannot give up water that it does not "
            'hold: if the flux is negative, use top="evaporation", which stops at what the soil can give.'
        )
    return f"{when}: no step, however short, could be solved. Try thinner cells or a smaller tolerance."


def _course(field: str, value: object, lowest: float, highest: float, unit: str, factor: float) -> Pieces:
    if not np.iterable(value) or isinstance(value, (str, bytes)):
        hint = SUCTION_HINT if unit == "cm" else ""
        return np.zeros(1), factor * np.array([number(field, value, lowest, highest, unit, hint)])
    allowed = "a number, or pairs (hour from which it holds, value), the first at hour 0"
    pairs = list(value)
    if not 1 <= len(pairs) <= MAX_PIECES or any(np.shape(pair) != (2,) for pair in pairs):
        raise DescriptionError.of(field, f"given {quoted(value)}", allowed, "Write for example [(0, 20), (1, 0)].")
    starts = numbers(field, [hour for hour, _ in pairs], 0.0, LONGEST_S / HOUR_S, "hours") * HOUR_S
    values = numbers(field, [given for _, given in pairs], lowest, highest, unit)
    if starts[0] != 0.0 or not (np.diff(starts) > 0.0).all():
        raise DescriptionError.of(field, "given hours that do not start at 0 and rise", allowed)
    return starts, factor * values
