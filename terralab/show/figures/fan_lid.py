"""The lid as the other lever: humidity and temperature against its covered share, with the knee of the curve."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from matplotlib.axes import Axes

from terralab.answers.common.answer import Answer
from terralab.answers.fans.choice import first_lid
from terralab.answers.fans.schedules import NO_FAN
from terralab.errors import TerralabError, quoted
from terralab.quantities import quantity, said
from terralab.show.figures.scales import Scales
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    HEADING_PT,
    LINE,
    TEXT_PT,
    VERMILLION,
    WIDTH_IN,
    Picture,
    plain_look,
    write,
)
from terralab.show.figures.wanted import draw_wanted, wanted_key
from terralab.wording import lines

LID_IN = 3.35  # height of the whole part
_HIGH_IN = 1.85
_LEAST_K = 4.0  # of the scale of temperature, so that a tenth of a degree looks small
_DAY, _NIGHT = {"color": VERMILLION, "linestyle": "-", "marker": "o"}, {"color": BLUE, "linestyle": "--", "marker": "s"}


def has_curve(answer: Answer) -> bool:
    """Whether there is a lid that can be covered more or less."""
    return len(_curve(answer)) >= 3


def _curve(answer: Answer) -> list[Mapping[str, Any]]:
    """The lids that were run without a fan, from open to shut; with the described fans where the recommended lid has them."""
    return sorted(
        (one for one in answer.details["covers"] if one["fan"] == _fan(answer)), key=lambda one: one["covered"]
    )


def _fan(answer: Answer) -> str:
    lid = _recommended(answer)
    return NO_FAN if lid is None else lid["fan"]


def _recommended(answer: Answer) -> Mapping[str, Any] | None:
    return first_lid(answer.details["covers"], answer.details["gap_points"]) if answer.reachable is False else None


def _today(answer: Answer) -> float | None:
    """The covered share of the lid as it is; None where its parts differ."""
    shares = {opening.covered for opening in answer.record.box.enclosure.openings if opening.wall == "lid"}
    return shares.pop() if len(shares) == 1 else None


@plain_look
def lid(answer: Answer) -> Picture:
    """Draw the lid as the other lever for an answer of `fan_schedules`: humidity and temperature against its covered share.

    Raises TerralabError where the box has no lid that may be covered more or less.
    """
    if not isinstance(answer, Answer) or answer.question != "fan schedule":
        raise TerralabError(f"A picture of the lid needs the answer of fan_schedules; given {quoted(answer)}.")
    if not has_curve(answer):
        raise TerralabError("This box has no lid that may be covered more or less, so there is no curve to draw.")
    figure = Picture(LID_IN + 0.1)
    draw_lid(figure, answer, 0.15)
    figure.alt = said(lid_alt(answer).strip().removeprefix("Below, "), answer.us)
    return figure


@plain_look
def draw_lid(figure: Picture, answer: Answer, top_in: float) -> None:
    """Draw the curves of the lid so many inches below the top of the figure: humidity on the left, temperature on the right."""
    curve, scales = _curve(answer), Scales(answer.us)
    share = [100.0 * one["covered"] for one in curve]
    fan = "no fan" if _fan(answer) == NO_FAN else "your fans"
    write(figure, 0.15, top_in, f"The other lever: the lid, with {fan}", HEADING_PT, weight="bold")
    rh = _axes(figure, top_in + 0.55, 0.75, 3.6, "humidity, %")
    warm = _axes(figure, top_in + 0.55, 5.25, 2.6, f"air, {scales.word('°C')}")
    for part, looks in (("day", _DAY), ("night", _NIGHT)):
        common = {"markersize": 4.5, "linewidth": 1.5, "label": f"by {part}", "zorder": 4} | looks
        rh.plot(share, [one[f"rh_{part}"]["mean"] for one in curve], **common)
        warm.plot(share, [scales.of("°C", one[f"temperature_{part}_c"]) for one in curve], **common)
    target = answer.details["target"]
    if target is not None:
        for part in ("day", "night"):
            draw_wanted(rh, 0.0, 100.0, target[f"{part}_low"], target[f"{part}_high"], part)
    warm_wanted = (answer.heat or {}).get("wanted")
    if warm_wanted:
        for part in ("day", "night"):
            draw_wanted(warm, 0.0, 100.0, *(scales.of("°C", x) for x in warm_wanted[part]), part)
    low = min([one[f"rh_{part}"]["mean"] for one in curve for part in ("day", "night")])
    wanted = [] if target is None else [target["day_low"], target["night_low"]]
    rh.set_ylim(max(0.0, min([low, *wanted]) - 6.0), 102.0)
    _least_span(warm, scales.of("K", _LEAST_K))
    for axes in (rh, warm):
        _marks(axes, answer, curve)
        axes.set_xlim(-3, 103)
        axes.set_xticks([0, 20, 40, 60, 80, 100])
        axes.set_xlabel("covered share of the lid, %", fontsize=TEXT_PT)
    total = figure.get_figheight()
    handles, _ = rh.get_legend_handles_labels()
    handles += [] if target is None else [wanted_key(part) for part in ("day", "night")]
    place = (0.75 / WIDTH_IN, 1 - (top_in + 0.38) / total)
    figure.legend(handles=handles, loc="center left", bbox_to_anchor=place, ncols=4, frameon=False, fontsize=TEXT_PT,
                  borderpad=0.0, borderaxespad=0.0, handlelength=2.4, columnspacing=1.3, handletextpad=0.5)  # fmt: skip
    words = lines(_words(answer, curve), 112)
    write(figure, 0.15, top_in + 0.55 + _HIGH_IN + 0.47, "\n".join(words), TEXT_PT)


def _axes(figure: Picture, top_in: float, left_in: float, width_in: float, unit: str) -> Axes:
    total = figure.get_figheight()
    where = (left_in / WIDTH_IN, 1 - (top_in + _HIGH_IN) / total, width_in / WIDTH_IN, _HIGH_IN / total)
    axes = figure.add_axes(where)
    axes.tick_params(labelsize=TEXT_PT, length=3)
    axes.set_ylabel(unit, fontsize=TEXT_PT)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    return axes


def _least_span(axes: Axes, least: float) -> None:
    low, high = axes.get_ylim()
    middle, half = 0.5 * (low + high), 0.5 * max(least, high - low)
    axes.set_ylim(middle - half, middle + half)


def _marks(axes: Axes, answer: Answer, curve: Sequence[Mapping[str, Any]]) -> None:
    """The knee, the lid as it is, the recommended one, and those that are ruled out by their warmth."""
    knee, now, lid = answer.details["knee"], _today(answer), _recommended(answer)
    bottom = axes.get_ylim()[0]
    if knee is not None:
        axes.axvline(100.0 * knee, color=LINE, linewidth=1.2, linestyle=":", zorder=2)
    if now is not None:
        axes.plot([100.0 * now], [bottom], marker="^", markersize=9, color=BLACK, clip_on=False, zorder=6)
    if lid is not None:
        axes.axvline(100.0 * lid["covered"], color=BLUE, linewidth=2.2, zorder=2)
    for one in curve:
        if not one["allowed"]:
            axes.plot([100.0 * one["covered"]], [bottom], marker="x", markersize=7, markeredgewidth=2, color=BLACK, clip_on=False, zorder=6)  # fmt: skip


def _words(answer: Answer, curve: Sequence[Mapping[str, Any]]) -> str:
    """What the marks are, as sentences."""
    knee, now, lid = answer.details["knee"], _today(answer), _recommended(answer)
    out = []
    if knee is not None:
        steps = ": go in small steps" if all(one["allowed"] for one in curve) else ""
        out.append(f"Dotted: the knee at {100 * knee:.0f} %, past which each further bit does much more{steps}.")
    if now is not None:
        out.append(f"Triangle: your lid today, {100 * now:.0f} %.")
    if lid is not None:
        out.append(f"Thick line: recommended, {100 * lid['covered']:.0f} %.")
    if any(not one["allowed"] for one in curve):
        out.append("Cross: ruled out by its warmth.")
    return " ".join(out)


def lid_alt(answer: Answer) -> str:
    """Say what `draw_lid` shows, with the numbers; "" where there is no curve. A blank stands before it."""
    if not has_curve(answer):
        return ""
    curve = _curve(answer)
    each = []
    for one in curve:
        warm = quantity("°C", ".1f", one["temperature_day_c"])
        each.append(
            f"{100 * one['covered']:.0f} % covered {one['rh_day']['mean']:.0f} % at {warm} by day and {one['rh_night']['mean']:.0f} % by night"
        )
    return f" Below, the lid: {'; '.join(each)}. {_words(answer, curve)}".rstrip()
