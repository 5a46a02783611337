"""Cases: leaves on scales and in the field, roots under water, mosses, against the law of a leaf and the table of plants."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator

from terralab import materials
from terralab.physics import leaf, moist_air, roots
from terralab.units import DAY_S
from tests.published.cases import Point, Row, Said, reads
from tests.published.published_rows import DATA

FILE = "leaves.csv"
TOPIC = "Leaves and roots"
DULL = "in the weakest light the palms opened further than the hyperbola; the bin spans 0.5 to 20, and mornings and afternoons of it differ by 2.7 times"
PORES = materials.get("defaults", "leaf pores")


def resistance(kind: str, light: float, dry: float = 1.0, warm: float = 25.0, at: str = "typical") -> float:
    """Resistance [s/m] of a leaf in `light`, by the table of plants; in air that lacks `dry` kPa, at `warm` C."""
    row = materials.get("plants", kind)
    dark, full, half = (getattr(row[name], at) for name in ("resistance_dark", "resistance_full", "light_half"))
    added = leaf.leaf_conductance(light, dark, full, half) - 1.0 / dark
    added *= leaf.closing(dry, PORES.typical("dryness_exponent")) * leaf.warming(warm, PORES.typical("warmth_slope"))
    return 1.0 / (1.0 / dark + added)


def ends(kind: str, name: str) -> tuple[float, float]:
    """The low and the high end of a number of the table of plants."""
    number = materials.get("plants", kind)[name]
    return number.low, number.high


def between(what: str, low: float, high: float, value: float, unit: str = "s/m") -> Said:
    """A printed number that has to lie in a range of the table."""
    return Said(what, f"{value:g} {unit}".strip(), f"{low:g} to {high:g} {unit}".strip(), low <= value <= high)


PALMS = {
    "palm_r_dark": ("PAR 0;", "7180 s/m", 0.1),
    "palm_r_par12": ("mean 11.7", "1440 s/m", 0.15),
    "palm_r_par40": ("mean 39.7", "1020 s/m", 0.08),
    "palm_r_par93": ("mean 93.3", "731 s/m", 0.1),
    "palm_r_par182": ("mean 182.7", "708 s/m", 0.12),
    "palm_r_par257": ("mean 257", "627 s/m", 0.1),
}
KNOWN = {"palm_r_par12": {"misfit": DULL, "at_most": 0.28}}


@reads(FILE, TOPIC, *PALMS)
def palms(row: Row) -> Iterator[Point]:
    """Palms on scales, the mean of a bin of light; the air's film around the leaves is within the printed number."""
    light, printed, rel = PALMS[row.id]
    (lit,) = row.take(light)
    dry, warm = (float(re.search(unit, row.text["inputs"])[1]) for unit in (r"VPD ([\d.]+) kPa", r"([\d.]+) C;"))
    yield Point(f"palm leaf at {lit:g} umol/m2s", row.take(printed)[0], resistance("palms", lit, dry, warm), "s/m", rel=rel,
                **KNOWN.get(row.id, {}))  # fmt: skip


@reads(FILE, TOPIC, "palm_fit")
def palm_curve(row: Row) -> Iterator[Point | Said]:
    """The curve fitted to light alone, in the warmth and dryness in which most of that light was: 30 C, 1.5 kPa."""
    dark, gain, half = row.take("1/6930")[1], row.take("0.00157 Q")[0], row.take("Q+31")[0]
    for light in (0.0, 20.0, 100.0, 300.0):
        yield Point(f"the fitted curve at {light:g} umol/m2s", 1.0 / (1.0 / dark + gain * light / (light + half)),
                    resistance("palms", light, 1.5, 30.0), "s/m", rel=0.1)  # fmt: skip
    low, high = ends("palms", "light_half")
    yield between("half-light with cooler days added", low, high, row.take("Q/(Q+20)")[0], "umol/m2s")


@reads(FILE, TOPIC, "palm_switch_model")
def switch(row: Row) -> Iterator[Point]:
    """What a switch at any light, with 580 s/m, makes of it, in the warmth and dryness of each bin of light."""
    states = ((12.0, 0.68, 25.7), (40.0, 0.97, 27.9), (93.0, 1.6, 30.2), (257.0, 1.82, 31.4))
    for (light, dry, warm), printed in zip(states, row.take("2.5, 1.8, 1.26, 1.08"), strict=True):
        known = {"misfit": DULL, "at_most": 0.26} if light == 12.0 else {}
        yield Point(f"a switch over the palms' curve at {light:g} umol/m2s", printed,
                    resistance("palms", light, dry, warm) / 580.0, rel=0.1, **known)  # fmt: skip


@reads(FILE, TOPIC, "palm_dryness_pair")
def dryness(row: Row) -> Iterator[Point]:
    """Two days of one warmth, the second drier."""
    dry = row.take("VPD 0.42/0.84, 0.47/0.91, 0.59/1.08, 1.06/1.53")
    printed = row.take("1374/1817, 918/1081, 691/891, 823/1017")
    for place, (light, warm) in enumerate(((40.0, 17.8), (95.0, 18.6), (175.0, 19.8), (250.0, 22.1))):
        one, two = (resistance("palms", light, dry[2 * place + i], warm) for i in (0, 1))
        yield Point(f"resistance at {dry[2 * place + 1]:g} over that at {dry[2 * place]:g} kPa, {warm:g} C",
                    printed[2 * place + 1] / printed[2 * place], two / one, rel=0.2)  # fmt: skip


@reads(FILE, TOPIC, "palm_vpd_flat", "palm_vpd_flat_low")
def warm_and_dry(row: Row) -> Iterator[Point]:
    """Dry days were warm days; each bin against the first. Bins are sure to 5 to 15 %."""
    if row.id == "palm_vpd_flat":
        light, dry = 257.0, row.take("0.73, 1.06, 1.45, 2.06 kPa")
        warm, printed = row.take("20.9, 24.1, 25.4, 31.1 C"), row.take("725, 791, 809, 642")
    else:
        light, dry = 93.0, row.take("0.45, 0.71, 0.87, 1.54, 2.10 kPa")
        warm, printed = row.take("18.5, 25.9, 22.7, 30.7, 32.2 C"), row.take("914, 768, 944, 749, 697")
    first = resistance("palms", light, dry[0], warm[0])
    for one in range(1, len(dry)):
        ours = resistance("palms", light, dry[one], warm[one]) / first
        yield Point(f"resistance at {dry[one]:g} kPa, {warm[one]:g} C over that at {dry[0]:g} kPa, {warm[0]:g} C",
                    printed[one] / printed[0], ours, rel=0.2)  # fmt: skip


@reads(FILE, TOPIC, "palm_fit_dry_warm")
def fitted_together(row: Row) -> Iterator[Point]:
    """Dryness and warmth as they were fitted."""
    yield Point("exponent of dryness", -row.take("VPD^-0.17")[0], PORES.typical("dryness_exponent"), rel=1e-3)
    yield Point("slope of warmth", row.take("0.053(T")[0], PORES.typical("warmth_slope"), "1/K", rel=1e-3)


@reads(FILE, TOPIC, "palm_day_400", "palm_day_lowpar", "palm_day_cold")
def whole_day(row: Row) -> Iterator[Point]:
    """A day on the scales, hour by hour, from the light, the air and the warmth of the leaf; and the plain curve beside."""
    trial, printed = {"palm_day_400": ("400ppm", "814 of"), "palm_day_lowpar": ("LowPAR", "586 of"),
                      "palm_day_cold": ("Cold", "480 of")}[row.id]  # fmt: skip
    with open(DATA / "palm_days.csv", encoding="utf-8", newline="") as lines:
        hours = [one for one in csv.DictReader(lines) if one["trial"] == trial]
    whole = plain = 0.0
    for hour in hours:
        light, air, humidity, warm = (float(hour[name]) for name in ("light_umol", "air_c", "humidity", "leaf_c"))
        full, held = (moist_air.saturated_vapour_density(t) for t in (warm, air))
        missing = 3.6e6 * (full - 0.01 * humidity * held)  # g/m3 times the seconds of an hour
        lacks = 1e-3 * (1.0 - 0.01 * humidity) * moist_air.saturation_pressure(air)
        whole += missing / resistance("palms", light, lacks, warm)
        plain += missing / resistance("palms", light)
    warmer = {
        "misfit": "the curve stands for 25 C; these days rose to 32 C and opened the leaves further",
        "at_most": 0.23,
    }
    yield Point(f"water of a day, trial {trial}", row.take(printed)[0], whole, "g/m2", rel=0.15)
    yield Point("the same by light alone", row.take(printed)[0], plain, "g/m2", rel=0.15,
                **({} if trial == "Cold" else warmer))  # fmt: skip


@reads(FILE, TOPIC, "fern_light_flat", "fern_lit", "fern_lit_selaginella", "fern_lit_saccoloma")
def ferns(row: Row) -> Iterator[Point | Said]:
    """Ferns and spikemosses in the field, lit by 500 umol/m2s."""
    if row.id == "fern_light_flat":
        for kind, most in zip(("ferns", "spikemosses"), row.take("median 0.87; 0.90"), strict=True):
            ours = resistance(kind, 500.0) / resistance(kind, 0.0)
            yield Said(f"{kind}, dark over lit conductance", f"{most:g} at most", f"{ours:.2f}", ours <= most)
        return
    kind, printed = {
        "fern_lit": ("ferns", "360 s/m (680-195)"),
        "fern_lit_selaginella": ("spikemosses", "505 s/m (835-345)"),
        "fern_lit_saccoloma": ("ferns", "167 s/m (455-90)"),
    }[row.id]
    mean, *_ = row.take(printed)
    if row.id != "fern_lit_saccoloma":
        yield Point(f"{kind} in light of 500", mean, resistance(kind, 500.0), "s/m", rel=0.25)
    yield between(f"{kind} in light of 500, within the range", *ends(kind, "resistance_full"), mean)


#: row: the kind of plant it stands for, and its printed resistance in the dark
DARK = {
    "gmin_hartstongue": ("ferns", "1720 s/m"),
    "gmin_elatostema": ("soft shade herbs", "1900 s/m"),
    "gmin_ficus": ("creeping figs and ivy", "7100 s/m"),
    "gmin_all_dark": ("soft shade herbs", "2940 s/m"),
    "night_rose": ("foliage plants", "2400 s/m"),
    "night_greenhouse": ("foliage plants", "2000-5000"),
}


@reads(FILE, TOPIC, *DARK)
def in_the_dark(row: Row) -> Iterator[Said]:
    """Leaves without light."""
    kind, printed = DARK[row.id]
    for value in row.take(printed):
        yield between(f"{kind} in the dark", *ends(kind, "resistance_dark"), abs(value))


@reads(FILE, TOPIC, "gmin_bromeliads", "gmin_hedera")
def cut_off(row: Row) -> Iterator[Said]:
    """Leaves cut off and drying hold back more than living ones in the dark: an upper end."""
    kind, printed = {"gmin_bromeliads": ("day-opening bromeliads", "42000 s/m"),
                     "gmin_hedera": ("creeping figs and ivy", "50000 s/m")}[row.id]  # fmt: skip
    typical, most = materials.get("plants", kind).typical("resistance_dark"), row.take(printed)[0]
    yield Said(f"{kind}, typical in the dark", f"less than {most:g} s/m", f"{typical:g} s/m", typical < most)


@reads(FILE, TOPIC, "bromeliad_field", "bromeliad_path", "jade_spider")
def open_by_day_or_night(row: Row) -> Iterator[Said]:
    """Who opens when."""
    if row.id == "bromeliad_field":
        (least,) = row.take("400 s/m")
        for kind, name in (
            ("day-opening bromeliads", "resistance_full"),
            ("night-opening bromeliads", "resistance_dark"),
        ):
            low = ends(kind, name)[0]
            yield Said(f"{kind}, low end of the open leaf", f"{least:g} s/m or more", f"{low:g} s/m", low >= least)
        return
    if row.id == "bromeliad_path":
        day, night = (resistance("day-opening bromeliads", light) for light in (100.0, 0.0))
        yield Said(
            "day-opening bromeliads, 100 umol/m2s and dark", "open by day", f"{day:.0f}, {night:.0f} s/m", day < night
        )
        return
    lit, dark = row.take("8 / 11 g/h")
    ours = resistance("night-opening succulents", 100.0) / resistance("night-opening succulents", 0.0)
    yield Said("night-opening succulents, dark over lit, in light of 100", f"more than {dark / lit:.2g}, pots included",
               f"{ours:.1f}", ours > dark / lit)  # fmt: skip


@reads(FILE, TOPIC, "indoor_share_night")
def night_share(row: Row) -> Iterator[Said]:
    """Twelve hours of night in air as dry as by day, room plants in the light that rooms for them are given."""
    low, high = row.take("9 to 28 %")
    for light in (30.0, 50.0):
        night, day = (1.0 / resistance("foliage plants", lit) for lit in (0.0, light))
        share = 100.0 * night / (night + day)
        yield Said(f"night's share of the loss, days of {light:g} umol/m2s", f"{low:g} to {high:g} %", f"{share:.0f} %",
                   low <= share <= high)  # fmt: skip


@reads(FILE, TOPIC, "humid_leaf")
def raised_damp(row: Row) -> Iterator[Said]:
    """Leaves that grew in damp air close badly."""
    factor = PORES["dark_resistance_factor_grown_humid"]
    yield Said("leaves grown above 85 % RH, resistance in the dark over others'", "less than 1",
               f"{factor.low:g} to {factor.high:g}", factor.typical < 1.0 >= factor.high)  # fmt: skip


@reads(FILE, TOPIC, "flood_24h", "flood_3d", "flood_avocado", "flood_hours", "flood_cacao")
def flooded(row: Row) -> Iterator[Said]:
    """How roots without any air respond, between the quickest and deepest and the slowest and least of the table."""
    number = materials.get("plants", "foliage plants")

    def course(days: float, end: str) -> float:
        left, fall = (getattr(number[name], end) for name in ("wet_share_left", "wet_days_to_fall"))
        goal = roots.wet_target(0.0, number.typical("wet_limit_air"), left)
        return roots.follow(1.0, goal, days * DAY_S, fall * DAY_S, number.typical("wet_days_to_recover") * DAY_S)

    band = lambda days: (course(days, "low"), course(days, "high"))  # noqa: E731
    if row.id in ("flood_24h", "flood_3d"):
        days, printed = (1.0, row.take("0.49, 0.56, 0.53")) if row.id == "flood_24h" else (3.0, row.take("0.35")[:1])
        for share in printed:
            yield between(f"share left after {days:g} days under water", *band(days), share, "")
        return
    if row.id == "flood_avocado":
        yield Said(
            "share left on day 10, the slowest", "no significant fall", f"{band(10.0)[1]:.2f}", band(10.0)[1] > 0.85
        )
    elif row.id == "flood_hours":
        hours = max(row.take("4-10 h"), key=abs)
        share = band(abs(hours) / 24.0)[0]
        yield Said("share left after ten hours, the quickest", "first sign in hours", f"{share:.2f}", share < 0.9)
    else:
        share = band(15.0)[0]
        yield Said("share left after 15 days, the deepest", "cut, not nil", f"{share:.2f}", 0.0 < share < 1.0)


@reads(FILE, TOPIC, "pot_air")
def air_in_pots(row: Row) -> Iterator[Point]:
    """What containers are held to."""
    yield Point("air that roots want", row.take("at least 10 %")[0] / 100.0,
                materials.get("plants", "foliage plants").typical("wet_limit_air"), "m3/m3", rel=0.01)  # fmt: skip


@reads(FILE, TOPIC, "moss_resistance", "moss_lai")
def mosses(row: Row) -> Iterator[Said]:
    """Moss carpets."""
    if row.id == "moss_lai":
        for area in row.take("3.1 and 3.7"):
            yield between("leaf area of moss over its ground", *ends("mosses", "leaf_area_per_cover"), area, "m2/m2")
        return
    low, high = row.take("0 to 1500 s/m")
    most = ends("mosses", "resistance_full")[1]
    yield Said("wet moss", f"{low:g} to {high:g} s/m, constant while wet", f"to {most:g} s/m", low < most <= high)
    lit, dark = (resistance("mosses", light) for light in (200.0, 0.0))
    yield Said("moss, lit and dark", "no light in it", f"{lit:.0f}, {dark:.0f} s/m", abs(lit - dark) < 1e-6)
