"""Write the validation book, reference/validation.md, with its pictures: `python -m tests.published.book`.

It says what the cases say and nothing else. `test_book.py` holds the committed file against the cases.
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np

from terralab import show
from terralab.show.figures.style import png
from tests.published.cases import FILES, Case, Point, Row, Said, all_cases, unread
from tests.published.drying import computed_sand, measured_sand
from tests.published.published_rows import figures, named, rows
from tests.published.soaking import celia_balance, celia_day
from tests.published.soils import NAMED

REFERENCE = Path(__file__).resolve().parents[2] / "reference"
BOOK = REFERENCE / "validation.md"
WORST = 12

HEAD = """# What has been checked, and how far off it is

Written by `python -m tests.published.book` from the cases that the tests run (`tests/published/`). Do not change it by hand.

**Printed** is the number of the source, shortened to six digits. **Ours** comes from terralab's public functions or its engine, to four digits. **Allowed** is the tolerance that was set beforehand. A difference beyond it is a **misfit**. It is marked, explained under the table, and never hidden by a wider tolerance.

Not every printed number is a measurement. The letter after the source says how the number was had:

| letter | meaning |
|---|---|
| S | seen in its source or in a faithful copy of it |
| L | computed by an independent library |
| D | derived by arithmetic, or by another numerical method, from a stated relation |
| M | from memory, not confirmed |

A number of grade D shows that the program solves its equations, not that the equations are true. Measurements are few: drying sand, peat and bark, stones under pots, palms on scales, an artificial leaf in a wind tunnel. **No measured, planted box is among them.**
"""

PICTURES = {
    "Water held and let through": "retention",
    "Soaking and draining": "front balance",
    "Drying": "drying",
}


def number(value: float, digits: int) -> str:
    """Return a number with so many significant digits, without an exponent where it stays short."""
    if value == 0.0 or not math.isfinite(value):
        return "0" if value == 0.0 else str(value)
    size = math.floor(math.log10(abs(value)))
    if -4 <= size < 6:
        text = f"{value:.{max(0, digits - 1 - size)}f}"
        return text.rstrip("0").rstrip(".") if digits > 4 and "." in text else text
    return f"{value:.{digits - 1}e}"


def difference(point: Point) -> str:
    """Return the difference, in % or in the unit, to a tenth of the last place that the tolerance cares about."""
    scale, unit = (100.0, "%") if point.rel else (1.0, point.unit)
    allowed = point.allowed * scale
    places = min(4, max(0, 1 - math.floor(math.log10(allowed))))
    value = round(point.off * scale, places) + 0.0
    return f"{value:+.{places}f} {unit}".strip() if value else f"{0:.{places}f} {unit}".strip()


def allowed(point: Point) -> str:
    """Return the tolerance, in % or in the unit."""
    return f"{100.0 * point.rel:.2g} %" if point.rel else f"{point.abs:.2g} {point.unit}".strip()


def line(found: Point | Said, source: str, note: str) -> str:
    """Return one line of a table."""
    if isinstance(found, Said):
        said = "as printed" if found.holds else "not so"
        cells = (found.what, found.printed, found.ours, f"**{said}**" if note else said, "", source + note)
    else:
        unit = f" {found.unit}" if found.unit else ""
        off = f"**{difference(found)}**" if note else difference(found)
        printed, ours = number(found.printed, 6) + unit, number(found.ours, 4) + unit
        cells = (found.what, printed, ours, off, allowed(found), source + note)
    return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


def table(cases: list[Case], notes: list[str]) -> list[str]:
    """Return the table of one topic; reasons of misfits are added to `notes` and numbered."""
    lines = ["| what | printed | ours | difference | allowed | source |", "|---|---|---|---|---|---|"]
    for case in cases:
        source = f"{case.row.source} ({case.row.grade})"
        for found in case.findings:
            note = ""
            if found.misfit:
                if found.misfit not in notes:
                    notes.append(found.misfit)
                note = f" [{notes.index(found.misfit) + 1}]"
            lines.append(line(found, source, note))
            source = "as above"
    return lines


def by_topic() -> dict[str, list[Case]]:
    """Return the cases of each topic, in the order of the book."""
    topics: dict[str, list[Case]] = {}
    for case in all_cases():
        topics.setdefault(case.topic, []).append(case)
    return topics


def summary() -> list[str]:
    """Return the counts, one line a topic, and the worst misfits."""
    lines = ["## In short", "", "| topic | rows | numbers | within the tolerance | misfits |", "|---|---|---|---|---|"]
    total = np.zeros(4, dtype=int)
    for topic, cases in by_topic().items():
        found = [one for case in cases for one in case.findings]
        counts = np.array(
            [len(cases), len(found), sum(one.holds for one in found), sum(not one.holds for one in found)]
        )
        total += counts
        lines.append(f"| {topic} | {' | '.join(str(count) for count in counts)} |")
    lines += [f"| **all** | {' | '.join(f'**{count}**' for count in total)} |", ""]
    missed = [
        (abs(one.off), case, one)
        for case in all_cases()
        for one in case.findings
        if isinstance(one, Point) and one.misfit and one.rel
    ]
    missed.sort(key=lambda entry: (-round(entry[0], 3), entry[1].row.id, entry[2].what))
    worst: dict[str, tuple] = {}
    for entry in missed:
        worst.setdefault(entry[1].row.id, entry)
    lines += ["The largest misfits, the worst of each row, as shares of the printed number:", ""]
    for off, case, one in list(worst.values())[:WORST]:
        sign = "+" if one.off > 0 else "-"
        lines.append(f"- {sign}{100.0 * off:.1f} %: {one.what} ({case.row.source}). {sentence(one.misfit)}")
    return [*lines, ""]


def sentence(text: str) -> str:
    """Return a note as a sentence."""
    return f"{text[0].upper()}{text[1:]}" + ("" if text.endswith(".") else ".")


def not_read() -> list[str]:
    """Return the rows that nothing is held against, with the reason."""
    lines = ["## What the model cannot represent", "", "| row | source | why |", "|---|---|---|"]
    where = {row: file for file in FILES for row in rows(file)}
    for row, reason in unread().items():
        lines.append(f"| `{row}` | {Row(where[row], row).source} | {reason} |")
    return [*lines, ""]


def from_memory() -> list[Row]:
    """Return every row whose grade holds an M, file after file."""
    every = [Row(file, row) for file in FILES for row in rows(file)]
    return [one for one in every if "M" in re.split(r"[^A-Z]+", one.grade)]


def memory() -> list[str]:
    """Return the rows whose printed numbers, or part of them, were not seen."""
    lines = ["## What is still from memory", "", "| row | source | grade |", "|---|---|---|"]
    for one in from_memory():
        lines.append(f"| `{one.id}` | {one.source} | {one.grade} |")
    return [
        *lines, "",
        "The numbers of the shipped materials have their own grades: `terralab material NAME` shows them, and "
        "`limits.md` names the weak ones that matter.",
    ]  # fmt: skip


def pictures() -> dict[str, object]:
    """Draw every picture of the book, by name."""
    suction = np.geomspace(0.1, 2000.0, 200)
    printed = {
        f"{name}, printed": tuple(
            np.array(
                [
                    (float(row.split("_h")[1].removesuffix("cm")), named(found["expected"], "theta")[0])
                    for row, found in rows("retention_and_column_equilibrium.csv").items()
                    if row.startswith(f"vgm_{name}")
                ]
            ).T
        )
        for name in ("sand", "loam")
    }
    lines = {f"{name}, terralab": (suction, NAMED[name].water_content(-0.01 * suction)) for name in ("sand", "loam")}
    run = celia_day(1.0)
    celia = rows("column.csv")
    heads = figures(celia["celia_dry_soil_infiltration"]["expected"].split("h at 30/40/50 cm ")[1])[:3]
    steps = (10.0, 120.0, 720.0, 3600.0)
    ratios = {f"{form} form": [celia_balance(step, form) for step in steps] for form in ("mixed", "head")}
    lost = figures(celia["celia_mass_balance"]["expected"].split("at dt")[0])
    time_s, measured = measured_sand()
    sand = {f"terralab, {cm:g} cm of sand": computed_sand(cm)[0] for cm in (10.0, 8.0)}
    return {
        "retention": show.retention_picture(lines, printed),
        "front": show.front_picture(run.depth_cm, run.heads_cm[-1], ((30, 40, 50), heads)),
        "balance": show.balance_picture(steps, ratios, (steps, lost)),
        "drying": show.drying_picture(time_s / 86400.0, measured, sand),
    }


def book() -> str:
    """Return the whole text."""
    drawn = pictures()
    parts = [HEAD, *summary()]
    for topic, cases in by_topic().items():
        notes: list[str] = []
        lines = table(cases, notes)
        parts += [f"## {topic}", ""]
        for name in PICTURES.get(topic, "").split():
            parts += [f"![{drawn[name].alt}](pictures/validation-{name}.png)", ""]
        parts += [*lines, ""]
        if notes:
            parts += ["Why there are misfits:", ""]
            parts += [f"- [{place}] {sentence(note)}" for place, note in enumerate(notes, 1)]
            parts.append("")
    parts += ["The sand on the scale: Iden, Diamantopoulos & Durner 2021, data under CC-BY 4.0.", ""]
    return "\n".join([*parts, *not_read(), *memory()]) + "\n"


def main() -> None:
    """Write the book and its pictures, in place of the last ones."""
    BOOK.write_text(book(), encoding="utf-8")
    for name, picture in pictures().items():
        (REFERENCE / "pictures" / f"validation-{name}.png").write_bytes(png(picture))


if __name__ == "__main__":
    main()
