"""What to measure next: by how much each home measurement would narrow the range of an answer.

Every measurement reads either uncertain numbers themselves, such as the fan's flow, or something that each member
gave, such as the humidity inside. The members that gave the range tell how much is left of it once that is read; no
box is run again. What a measurement needs, how it is done and how good it is stands in the table `measurements`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatch
from types import MappingProxyType
from typing import Any

import numpy as np

from terralab import materials
from terralab.answers.common.ensemble import EnsembleResults
from terralab.answers.common.words import amount, amount_span
from terralab.materials import Number
from terralab.quantities import marked, quantity
from terralab.uncertainty.sensitivity import LEAST_MEMBERS, Reading, narrowing

ALL_BUT = 0.85  # share of the range; what takes more leaves little of it
LITTLE = 0.05  # share of the range; a measurement that takes less is said not to narrow it
WITH_THE_BOX = "watering and box weighed"  # on a scale that bears it
LOSS_OF_A_DAY = "weight lost in a day"  # on the same scale
WEIGHED = ("pour", "loss")  # results that weighing the water reads
WORTH = 0.10  # share of the range from which a second measurement is named


@dataclass(frozen=True)
class Way:
    """One home measurement: its entry in the table, its name in a sentence, and what it reads.

    `keys` are patterns of uncertain numbers, `results` names of what members gave, which go before the keys.
    """

    entry: str
    doing: str
    keys: tuple[str, ...] = ()
    results: tuple[str, ...] = ()


#: In the order in which people think of them; the first costs nothing.
WAYS = (
    Way("mesh named", "naming the kind of your mesh", ("mesh exchange.factor",)),
    Way("fan and bag", "timing how the exchange fan fills a bag", ("box.routine.fans.*.flow_m3_h",)),
    Way(
        "watering for three days",
        "weighing the watering bottle and the sprayer for three days",
        results=("pour",),
    ),
    Way("watering for two weeks", "weighing the watering bottle and the sprayer for two weeks", results=("pour",)),
    Way(
        WITH_THE_BOX,
        "weighing the box and the watering bottle over two weeks",
        results=("pour",),
    ),
    Way("ten leaves traced", "tracing ten leaves", ("box.enclosure.plants.leaf_area_cm2",)),
    Way(
        "photograph from above",
        "photographing the plants from above and counting squares",
        ("box.enclosure.plants.cover",),
    ),
    Way(
        "light meter at the plants",
        "reading the light at the plants with a phone or a lux meter",
        ("*.photons_per_joule", "window.at_pane"),
    ),
    Way("room hygrometer and salt", "checking the room's hygrometer with salt", ("room.humidity",)),
    Way("room thermometer and ice", "checking the room's thermometer in ice water", ("room.temperature",)),
    Way(
        "box hygrometer and salt",
        "logging the humidity inside for a week with a hygrometer checked with salt",
        results=("day", "night"),
    ),
    Way("ruler on the lid", "measuring the covered part of the mesh", ("box.enclosure.openings.*.covered",)),
    Way("humid air let out", "timing how fast misted air dries with the box as it is", results=("exchange",)),
    Way(
        LOSS_OF_A_DAY,
        "weighing the box a day apart with a hygrometer under the lid",
        results=("exchange",),
    ),
    Way("low and high hygrometers", "logging one hygrometer low and one high", ("air mixing.factor",)),
    Way("humid air kept in", "timing how fast misted air dries with everything closed", ("leakage.ach",)),
    Way("mister for a minute", "catching the mister's water for a minute", ("box.routine.mists.*.flow_ml_min",)),
    Way(
        "plug meter",
        "a plug meter on lamp and heater",
        ("box.routine.lamps.*.power_w", "box.routine.heaters.*.power_w"),
    ),
    Way("pot of the mix weighed", "weighing a pot of the mix soaked, drained and dry", ("*.theta_s",), ("soil holds",)),
    Way("jar of the aggregate", "filling a jar of the aggregate with water", ("*.void_fraction",)),
)


def measure_next(
    sample: EnsembleResults,
    result: str,
    unit: str,
    only: Sequence[str] = (),
    weighed: Mapping[str, np.ndarray] = MappingProxyType({}),
) -> tuple[dict[str, Any], ...]:
    """Home measurements ranked by how much each would narrow the range of `result`; the most useful first.

    `only` names the entries to look at (default: all). `weighed` says how far weighing the water may be off, as
    `error_of_weighing` finds it for a box; without it nothing is claimed for weighing. A box that has no entry for being
    weighed is not weighed a day apart either.
    Each is a mapping: what, how, accuracy (in words), hours it takes, narrows_by (0 to 1, the part by which the range
    shrinks on average), give_or_take (standard error of that), range_then (low, high when the reading is a middling
    one), words, the same in short, grade and source of the accuracy. Empty where the range has no width or too few members ran.
    """
    y = sample.results[result]
    low, middle, high = sample.range_of(result)
    if not low < high or np.count_nonzero(np.isfinite(y)) < LEAST_MEMBERS:
        return ()
    out = []
    for way in WAYS:
        if only and way.entry not in only:
            continue
        if way.entry == LOSS_OF_A_DAY and WITH_THE_BOX not in weighed:
            continue
        error, relative = _error(way.entry)
        if way.results == ("pour",):
            own = weighed.get(way.entry)
            readings = [] if own is None or result not in WEIGHED else [Reading(y, own)]
        else:
            readings = _readings(way, sample, 0.5 * error.typical, relative)
        if not readings:
            continue
        share, give = narrowing(y, readings)
        then = [middle - (middle - low) * (1.0 - share), middle + (high - middle) * (1.0 - share)]
        out.append(
            {
                "what": way.entry,
                "how": " ".join(map(marked, materials.get("measurements", way.entry).notes)),
                "accuracy": _ml_in_words(readings[0], way.entry)
                if way.results == ("pour",)
                else accuracy_in_words(error),
                "hours": materials.get("measurements", way.entry).typical("hours"),
                "narrows_by": round(share, 3),
                "give_or_take": round(give, 3),
                "range_then": [round(x, 2) for x in then],
                "words": f"{way.doing} would {effect(share)}{_to(share, then, unit)}",
                "short": f"{way.doing} would {effect(share)}",
                "grade": error.grade,
                "source": error.source,
            }
        )
    return tuple(sorted(out, key=lambda one: -one["narrows_by"]))  # of equals, the first thought of stays first


def _error(entry: str) -> tuple[Number, bool]:
    """How far a measurement may be off, and whether that is a share of what is read."""
    numbers = materials.get("measurements", entry).numbers
    (name,) = [name for name in numbers if name.endswith("_error")]
    return numbers[name], name == "relative_error"


def _readings(way: Way, sample: EnsembleResults, error: float, relative: bool) -> list[Reading]:
    """What the measurement would read, member by member: one reading for each number read."""
    found = [sample.results[name] for name in way.results if name in sample.results]
    if len(found) == 2:
        # one instrument read twice: how far it is off stays the same, so it hides the mean, and half of it the difference
        return [Reading(0.5 * (found[0] + found[1]), error), Reading(found[0] - found[1], 0.5 * error)]
    if not found:
        keys = [one.key for one in sample.ensemble.inputs]
        wanted = [j for j, key in enumerate(keys) if any(fnmatch(key, pattern) for pattern in way.keys)]
        found = [sample.ensemble.values[:, j] for j in wanted]
    return [Reading(x, error, relative) for x in found]


def _ml_in_words(reading: Reading, entry: str) -> str:
    """How good weighing is in this box; without a scale below the box, what the soil gains or loses is the larger part."""
    least, most = (2.0 * float(x) for x in np.quantile(reading.error, [0.1, 0.9], method="nearest"))
    if not least < 10_000.0:
        return "not within any bound here: another pour would leave no mark in that time"
    felt = "" if entry == WITH_THE_BOX else ", since what the soil gains or loses is only felt"
    if most >= 10_000.0:
        within = f"{amount(least, 'ml a day')} or far more"
    elif most < 1.3 * least:
        within = amount(most, "ml a day")
    else:
        within = amount_span(least, most, "ml a day")
    return f"within {within} a day here{felt}"


def accuracy_in_words(error: Number) -> str:
    """How good a measurement is, in words: 95 of 100 readings are meant to lie within."""
    if error.unit == "share":
        return f"within {100 * error.typical:g} %"
    return f"within {quantity('points' if error.unit == '% RH' else error.unit, 'g', error.typical)}"


def effect(share: float) -> str:
    """What narrowing by a share is called."""
    for least, words in (
        (ALL_BUT, "leave little of this range"),
        (0.55, f"narrow this range by {5 * round(20 * share)} %"),
        (0.45, "halve this range"),
        (0.29, "narrow this range by a third" if share < 0.38 else f"narrow this range by {5 * round(20 * share)} %"),
        (0.2, "narrow this range by a quarter"),
        (0.1, f"narrow this range by {5 * round(20 * share)} %"),
        (LITTLE, "narrow this range a little"),
    ):
        if share >= least:
            return words
    return "not narrow it"


def _to(share: float, then: list[float], unit: str) -> str:
    if share < WORTH:
        return ""
    to = "," if share >= ALL_BUT else " to"
    if amount(0.0, unit) == amount(then[0], unit) == amount(then[1], unit):
        return ""  # of nothing there is nothing to say
    return f"{to} about {amount_span(*then, unit)}"


def measure_sentence(ranked: tuple[Mapping[str, Any], ...]) -> str:
    """One sentence on what to measure next; empty where nothing can be said."""
    if not ranked:
        return ""
    best = ranked[0]
    if best["narrows_by"] < LITTLE:
        return "No home measurement by itself would narrow this range much."
    parts = [best["words"]]
    # a second way of weighing the same water is no second choice
    others = [one for one in ranked[1:] if one["what"].split()[0] != best["what"].split()[0]]
    if others and others[0]["narrows_by"] >= WORTH:
        parts.append(others[0]["words"])
    order = {way.entry: (place, way.doing) for place, way in enumerate(WAYS)}
    idle = sorted(order[one["what"]] for one in ranked if one["narrows_by"] < LITTLE)
    if idle:
        parts.append(f"{idle[0][1]} would not")
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."
