"""Checks that look at several numbers of an entry together, where one number alone would pass."""

from __future__ import annotations

from collections.abc import Mapping

#: The parts into which the power of a lamp or a heater goes inside the box.
POWER = ("light", "radiant", "convective", "floor")


def problem_of(table: str, value: Mapping[str, float]) -> str:
    """Say in one sentence why the typical values of an entry cannot stand together; empty if they can."""
    if table in ("substrates", "soils"):
        return _substrate(value)
    if table == "groups":
        return _group(value)
    if table in ("lamps", "heaters"):
        total = sum(value[part] for part in POWER if part in value)
        return f"the shares add up to {total:g}, more than the whole." if total > 1.0 + 1e-9 else ""
    if table == "plants" and not value["dry_limit_head"] < value["dry_start_head"]:
        return "dry_limit_head must lie below dry_start_head."
    if table == "covers" and value["porous"] not in (0.0, 1.0):
        return "porous is 1 for a layer that joins the soil column, 0 for a loose blanket."
    if table == "meshes":
        kinds = ({"open_share", "thread_mm"}, {"open_share", "hole_mm", "sheet_mm"})
        return "" if set(value) in kinds else "a mesh has thread_mm, or both hole_mm and sheet_mm."
    if table == "aggregates" and value["loose_density"] >= value["particle_density"]:
        return "a heap of grains cannot be denser than one grain."
    return ""


def _substrate(value: Mapping[str, float]) -> str:
    if value["theta_r"] >= value["theta_s"]:
        return "water_left_when_dry must be below pore_space."
    # Below l = -2/m (m = 1 - 1/n) conductivity would rise again as the soil dries.
    for n in (value["n"], value.get("n2", value["n"])):
        if value["l"] <= -2.0 / (1.0 - 1.0 / n):
            return "crookedness_of_pores is at or below -2/m, so conductivity would rise while the soil dries."
    # A larger air entry would change the retention of coarse mixes, not only the slope of K near saturation.
    if value["air_entry"] > 0.1 / value["alpha"] * (1.0 + 1e-3):
        return "air_entry must not exceed 0.1/ease_of_emptying."
    # The retention curve never falls below theta_r, so a lower threshold would never act.
    if value["repellent_below"] and value["repellent_below"] <= value["theta_r"]:
        return "sheds_water_below must be 0 or above water_left_when_dry."
    if value["bypass_share"] and not value["repellent_below"]:
        return "share_that_runs_past must be 0 where the mix is not repellent."
    second = [key for key in ("w2", "alpha2", "n2") if key in value]
    if second and len(second) < 3:
        return "the second kind of pores needs all three of second_pores_share, second_pores_evenness and second_pores_ease."
    return ""


def _group(value: Mapping[str, float]) -> str:
    for low, high in (
        ("day_rh_low", "day_rh_high"),
        ("night_rh_low", "night_rh_high"),
        ("temp_low", "temp_high"),
        ("night_temp_low", "night_temp_high"),
        ("spot_temp_low", "spot_temp_high"),
    ):
        if low in value and high in value and value[low] >= value[high]:
            return f"{low} must be below {high}."
    if ("spot_temp_low" in value) != ("spot_temp_high" in value):
        return "give both spot_temp_low and spot_temp_high, or neither."
    if value["temp_most"] < max(value["temp_high"], value["night_temp_high"]):
        return "temp_most must not lie below temp_high or night_temp_high."
    if value["soil_moist"] not in (0.0, 1.0):
        return "soil_moist is 1 for a group that is kept on moist soil, 0 for one that is kept on dry soil."
    return ""
