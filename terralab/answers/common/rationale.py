"""What a watering answer rests on: its reason, its sources, and what it takes for granted."""

from __future__ import annotations

from collections.abc import Sequence

from terralab import materials
from terralab.answers.common.balance import kept_dry, kept_soil
from terralab.answers.common.words import ml as ml_of
from terralab.answers.water.misted import hand_ml, misted_words
from terralab.describe.box import Box
from terralab.describe.learned import standing
from terralab.describe.seasons import is_own, room_in_words, room_of
from terralab.describe.wanted import PLANTS, soil_reason, temperatures_wanted
from terralab.quantities import quantity
from terralab.simulation.where_it_goes import ways_out
from terralab.uncertainty.learned import number_now

HIDE_WETTED = "the damp moss of the hide, wetted daily"


def reason_of(box: Box, budget: dict[str, float], ml: float) -> str:
    """Why the daily pour is what it is, from the day's water budget [ml a day]."""
    each = {way.split(" ", 1)[1]: budget[word] for word, way in ways_out().items() if word in budget}
    lost = sum(each.values())
    biggest = max(each, key=lambda name: each[name])
    out = sum(max(0.0, way) for way in each.values())  # a damper room may give some back by another way
    share = 100 * each[biggest] / out if out > 0.0 else 0.0
    gone = f"About {ml_of(lost)} a day leave the box as vapour, {share:.0f} % of it through {biggest}"
    if kept_dry(box):
        ways = ["the other watering of the routine"] if _given_otherwise(box) else []
        ways += ["the dish"] if box.enclosure.dish is not None else []
        ways += ["the daily wetting of the moss in the hide"] if _hide_wetted(box) else []
        kept = (
            "nothing is given for it" if not ways else f"{' and '.join(ways)} {'cover' if ways[1:] else 'covers'} that"
        )
        return f"The soil is to stay dry. {gone}; {kept}."
    if ml < 0.1:
        other = " or is covered by the other watering" if _given_otherwise(box) else ""
        return f"{gone}, but what the soil gives off comes back by itself{other}."
    return f"{gone}; the pour replaces what the soil and the roots give to that, less what drips and runs back."


def _given_otherwise(box: Box) -> bool:
    """Whether water comes in by spraying, by misting or below the soil."""
    r = box.routine
    return bool(r.sprays or r.mists or any(pour.into != "soil" for pour in r.pours))


def _hide_wetted(box: Box) -> bool:
    return box.enclosure.hide is not None and box.enclosure.hide.floor == "damp moss"


def sources_of(box: Box) -> tuple[str, ...]:
    """Where the soil numbers and the physics come from."""
    names = {("substrates", layer.material) for layer in box.enclosure.layers}
    out = []
    for table, name in sorted(names):
        entry = materials.get(table, name)
        out.append(f"{name}: {entry['theta_s'].source} (grade {entry['theta_s'].grade})")
    out.append(
        "physics: Richards' equation with van Genuchten and Mualem; ASHRAE Fundamentals for moist air; see reference/"
    )
    return tuple(out)


def assumptions_of(box: Box, band_words: str, given_ml: float, zones: Sequence[str], soil: str = "") -> tuple[str, ...]:
    """What is held, which rooms are meant, and which numbers nobody described and a default stands for.

    `given_ml`: what is sprayed and misted a day, as a run of the box shows it; `zones`: the airs of that run. `soil`: what is
    said of the soil where it is not held as wanted.
    """
    e, warm = box.enclosure, temperatures_wanted(box)
    held = ": wetted through, then drained to rest above the mesh" if not kept_dry(box) else ""
    out = [
        soil or f"The soil is held {kept_soil(box)}{held}, {soil_reason(box)}.",
        *(
            [
                f"Of {len(standing(box))} numbers a log of {box.learned.log_words} taught what they may be together; the ranges rest on that."
            ]
            if box.learned
            else []
        ),
        _air_of(box, zones),
        f"The humidity wanted: {band_words}.",
        *(
            [
                f"The temperature wanted: {warm.in_words()}, {warm.source}. Too hot and too cold are judged by means and by "
                "peaks, a choice of terralab."
            ]
            if warm
            else []
        ),
    ]
    for season in ("winter", "summer"):
        own = "as described" if is_own(box, season) else "a default, since the description gives none"
        out.append(f"The {season} room: {room_in_words(room_of(box, season))} ({own}).")
    if e.leakage_ach is None:
        gaps = number_now(box, "leakage.ach", materials.get("defaults", "leakage")["ach"])
        out.append(
            f"Gaps change the air {gaps.typical:.3g} times an hour (range {gaps.low:.3g} to {gaps.high:.3g}; {gaps.source})."
        )
    if e.air_speed_cm_s is None:
        speed = number_now(box, "air movement.speed", materials.get("defaults", "air movement")["speed"])
        stirred = any(fan.mode == "circulate" and fan.timer.on_s > 0.0 for fan in box.routine.fans)
        out.append(
            f"{'While no circulating fan runs, air' if stirred else 'Air'} moves at {quantity('cm/s', '.3g', 100 * speed.typical)} inside (range {quantity('cm/s', '.3g', 100 * speed.low, 100 * speed.high)})."
        )
    out += _mesh_words(box)
    sprays = hand_ml(box)
    other = [f"{ml_of(sprays)} a day sprayed by hand" if sprays else ""]
    other += misted_words(box, given_ml)
    other += [
        "the water dish, topped up daily" if e.dish and e.dish.refill_days == 1 else "the water dish" if e.dish else "",
        HIDE_WETTED if _hide_wetted(box) else "",
    ]
    kept = [text for text in other if text]
    out.append(
        f"Other watering is kept as in the routine: {', '.join(kept)}." if kept else "There is no other watering."
    )
    return tuple(out)


def _air_of(box: Box, zones: Sequence[str]) -> str:
    """Into how many airs the box is taken apart, and what of it is not described."""
    one = "whole" in zones
    airs = "The air is one well-mixed space" if one else "The air is two spaces, below and above, each well mixed"
    judged = "" if one else "; what is wanted is judged by both together"
    described = (("a basking spot", box.enclosure.basking), ("a moist hide", box.enclosure.hide))
    left = [name for name, part in described if part is None]
    if box.group in PLANTS:
        return f"{airs}{judged}."
    return f"{airs}{judged}." + (f" Not described, and so not computed: {' and '.join(left)}." if left else "")


def _mesh_words(box: Box) -> list[str]:
    """What is known of each mesh: by its kind, by its own numbers, or nothing but a guess."""
    out = []
    for kind in dict.fromkeys(o.mesh for o in box.enclosure.openings if isinstance(o.mesh, str)):
        share = number_now(box, f"{kind}.open_share", materials.get("meshes", kind)["open_share"])
        out.append(
            f"What the {kind} holds back follows from its make, {100 * share.typical:.3g} % open (range {100 * share.low:.3g} to "
            f"{100 * share.high:.3g} %) where you gave no number of your own; its law may be off by half."
        )
    if any(o.mesh is True and o.mesh_is_known for o in box.enclosure.openings):
        out.append(
            "What the mesh holds back follows from the open share and thread you gave; its law may be off by half."
        )
    if any(o.mesh is True and not o.mesh_is_known for o in box.enclosure.openings):
        guess = materials.get("defaults", "mesh exchange")["factor"]
        mesh = number_now(box, "mesh exchange.factor", guess)
        lets = f"Mesh lets through {mesh.typical:.3g} of what an open hole would (range {mesh.low:.3g} to {mesh.high:.3g}, "
        out.append(
            f"{lets}a wide guess). Name its kind in the file to narrow this: `terralab material meshes` lists them."
            if mesh is guess
            else f"{lets}{mesh.source})."
        )
    return out
