"""Do fans keep the oxygen up? Carbon dioxide and oxygen in the box, against what each schedule exchanges."""

from __future__ import annotations

from typing import Any

from terralab import materials
from terralab.answers.fans.measure import steps_of_day
from terralab.describe.box import Box
from terralab.describe.wanted import PLANTS
from terralab.errors import TerralabError, quoted
from terralab.physics.gases import exchange_for, litres_per_hour, oxygen_lost, periodic
from terralab.simulation.record import Record
from terralab.validate import is_real

#: Marks a keeper may know: the usual sign of a stuffy room, and what people may work in for eight hours (29 CFR
#: 1910.1000, table Z-1, United States). No mark for frogs, lizards or snails was found.
STUFFY_PPM, WORK_LIMIT_PPM = 1000.0, 5000.0
OXYGEN_PERCENT = 20.95  # of dry air (from memory)
MOST_ANIMALS_G = 50_000.0
TOO_LITTLE = "too little fresh air comes in (terralab fans)"


def sources(box: Box, animals_g: float | None = None) -> dict[str, Any]:
    """What gives off carbon dioxide [l/h]: low, typical, high of soil, leaves in the dark and animals, and their sum.

    `animals_g` (0 to 50,000) is the mass of all animals. None: nothing is known of them, and none are counted; `asked` is
    then True unless the box is kept for plants. `gram` is what one gram of animal adds. The sums of all low and of all
    high ends are a wide bracket, wider than 80 % of boxes.
    """
    if animals_g is not None and not (is_real(animals_g) and 0.0 <= animals_g <= MOST_ANIMALS_G):
        raise TerralabError(f"animals_g must be 0 to {MOST_ANIMALS_G:,.0f} g; {quoted(animals_g)} was given.")
    number = lambda name, prop: materials.get("defaults", name)[prop]  # noqa: E731
    soil, leaf = number("soil life", "carbon_dioxide"), number("leaf breath", "carbon_dioxide")
    breath, quotient = number("frog breath", "oxygen"), number("animal breath", "quotient")
    grams = 0.0 if animals_g is None else float(animals_g)
    out: dict[str, Any] = {"soil": {}, "leaves in the dark": {}, "animals": {}, "all": {}, "gram": {}}
    for end in ("low", "typical", "high"):
        out["soil"][end] = litres_per_hour(getattr(soil, end), box.enclosure.soil_area_m2)
        out["leaves in the dark"][end] = litres_per_hour(getattr(leaf, end), box.enclosure.leaf_area_m2())
        out["gram"][end] = getattr(breath, end) * getattr(quotient, end) / 1000.0
        out["animals"][end] = grams * out["gram"][end]
        out["all"][end] = sum(out[name][end] for name in ("soil", "leaves in the dark", "animals"))
    out["animals_g"] = grams
    out["asked"] = animals_g is None and box.group not in PLANTS
    return out


def breathed(record: Record, source_l_h: dict[str, float]) -> dict[str, float]:
    """Carbon dioxide [ppm] and oxygen [%] of the box on the record's last day; `low` and `high` are those of the source.

    As if it were always dark: what lit leaves take up is not counted.
    """
    spans, rates, _ = steps_of_day(record)
    volume = 1000.0 * record.box.enclosure.air_volume_m3
    mean, peak = periodic([1.0 / volume] * len(spans), rates, spans)  # for a source of 1 l/h
    room = materials.get("defaults", "room air").typical("carbon_dioxide")
    quotient = materials.get("defaults", "animal breath").typical("quotient")
    return {
        "co2_ppm": room + 1e6 * mean * source_l_h["typical"],
        "co2_low_ppm": room + 1e6 * mean * source_l_h["low"],
        "co2_high_ppm": room + 1e6 * mean * source_l_h["high"],
        "co2_peak_ppm": room + 1e6 * peak * source_l_h["typical"],
        "oxygen_percent": OXYGEN_PERCENT - 100.0 * oxygen_lost(mean * source_l_h["typical"], quotient),
        "oxygen_high_source_percent": OXYGEN_PERCENT - 100.0 * oxygen_lost(mean * source_l_h["high"], quotient),
    }


def matters_below(box: Box, source_l_h: dict[str, float]) -> dict[str, float]:
    """Air changes an hour below which carbon dioxide passes each mark, for the typical and the high source."""
    room = materials.get("defaults", "room air").typical("carbon_dioxide")
    volume = 1000.0 * box.enclosure.air_volume_m3
    out = {}
    for name, mark in (("stuffy", STUFFY_PPM), ("work limit", WORK_LIMIT_PPM)):
        for end in ("typical", "high"):
            out[f"{name}, {end}"] = exchange_for(source_l_h[end], volume, (mark - room) * 1e-6)
    return out


def grows_stuffy(record: Record, before: Record) -> bool:
    """Whether the air of a box in which animals may live comes to hold more carbon dioxide than the mark of a stuffy room.

    The mark, and what soil and leaves in the dark give off, are those of `fan_schedules`; animals are not even counted.
    """
    box = before.box
    if box.group in PLANTS:
        return False
    source = sources(box)["all"]
    then, now = (breathed(one, source)["co2_ppm"] for one in (record, before))
    return then > max(STUFFY_PPM, now + 1.0)
