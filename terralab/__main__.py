"""The command line: `terralab water`, `terralab soak` and the few commands that go with them."""

from __future__ import annotations

import argparse
import os
import sys
import warnings
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Any

import terralab as tl
from terralab import materials
from terralab.answers.common.cautions import EVERY, for_box
from terralab.answers.fans.fan_schedules import DRY_WITHIN_H
from terralab.answers.fans.schedules import own_from_texts
from terralab.atomic_files import place, reason
from terralab.cli import away as alone
from terralab.cli import days_ahead as more
from terralab.cli import learn as learning
from terralab.cli import pdf
from terralab.cli.asking import BOX_HELP, DEFAULT_BOX, add_box
from terralab.cli.asking import answered as _answered
from terralab.cli.asking import say_aside as _say_aside
from terralab.cli.asking import short_name as _short_name
from terralab.cli.bar import bar
from terralab.cli.handout import copy_demo, copy_notebooks, open_lab
from terralab.cli.others import add_others
from terralab.cli.parser import Parser
from terralab.cli.stop import STOPPED, Ended, leave, stoppable
from terralab.cli.waiting import told_while_preparing
from terralab.cli.words import wrapped
from terralab.describe.doubts import doubts
from terralab.describe.own_in_box import made_up
from terralab.describe.wanted import group_band
from terralab.errors import TerralabError, TerralabWarning, UnknownName, closest, fault_words, quoted
from terralab.materials.recipe import is_recipe
from terralab.quantities import said

DEFAULT_FOLDER = "terralab-notebooks"
REFUSED, FAULT, INTERRUPTED = 2, 3, 130


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command (default: the words after `terralab`) and give the exit code.

    0: done, 2: refused, with the reason on the error stream, 3: a fault in terralab itself, named there, 130: stopped by
    Ctrl-C, 143: asked to end by the system, 129: its terminal was closed.
    """
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:  # started from a window or with its output closed, a program has none
            stream.reconfigure(errors="replace")  # a terminal that lacks a sign shows "?" and goes on
    words = list(sys.argv[1:] if argv is None else argv)
    shown: set[str] = set()

    def note(message: Warning | str, *_: object, **__: object) -> None:
        if str(message) not in shown:
            shown.add(str(message))
            _say_aside(f"Note: {message}")

    try:
        with warnings.catch_warnings(), stoppable():
            warnings.simplefilter("always", TerralabWarning)
            warnings.showwarning = note
            code = _run(words)
            if sys.stdout is not None:
                sys.stdout.flush()  # a full disk shows itself here, while it can still be reported
            return code
    except TerralabError as error:
        _say_aside(str(error))
        return REFUSED
    except Ended as asked:
        _say_aside("Asked to end, and ended. Nothing more was written.")
        return 128 + asked.args[0]
    except KeyboardInterrupt:
        _say_aside(STOPPED)
        return INTERRUPTED
    except OSError as error:
        if not isinstance(error, BrokenPipeError):  # the reader has closed the pipe and needs no more
            where = f"{error.filename}: " if error.filename else ""
            _say_aside(f"Stopped, since something could not be read or written. {where}{reason(error)}.")
        _drop_output()
        return REFUSED
    except Exception as error:
        # Python has no kind of its own for a system that gives it no further thread
        if isinstance(error, MemoryError) or str(error) == "can't start new thread":
            _say_aside("Stopped, since this machine has too little memory for that. Ask for fewer days or members.")
            return REFUSED
        if sys.flags.dev_mode:  # python -X dev: a developer wants the whole trace
            raise
        _say_aside(fault_words(error))
        return FAULT


def _drop_output() -> None:
    """Send what is left to nowhere, so that Python does not complain once more when it closes the stream."""
    with suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _run(words: list[str]) -> int:
    parser, commands = _parser()
    first = next((word for word in words if not word.startswith("-")), None)
    if first is not None and first not in commands:
        raise UnknownName.among("command", first, commands)
    try:
        asked = parser.parse_args(words)
    except SystemExit as done:
        return int(done.code or 0)
    if asked.do is None:
        print(parser.format_help())
        return 0
    return asked.do(asked) or 0


def _parser() -> tuple[Parser, tuple[str, ...]]:
    parser = Parser(
        prog="terralab",
        description="Water and humidity in a planted glass enclosure, computed hour by hour.",
        epilog="Start with: terralab water. Then: terralab box fern-hollow, change the file, terralab water FILE.",
    )
    parser.add_argument("--version", action="version", version=f"terralab {tl.__version__}")
    parser.set_defaults(do=None)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")

    def add(name: str, does: Callable[[argparse.Namespace], int | None], words: str) -> argparse.ArgumentParser:
        command = commands.add_parser(name, help=words, description=words)
        command.set_defaults(do=does)
        return command

    water = add("water", _water, "How much water a day? Prints the answer and writes a picture of it.")
    add_box(water)
    more.picture_options(water)
    add_box(add("soak", _soak, "How much water on day one, for a box that stood dry?"))
    bottom = add("drainage", _drainage, "How deep a drainage layer, and when to siphon? Other bottoms beside it.")
    add_box(bottom)
    bottom.add_argument("--picture", metavar="FILE", help="draw a cross-section to this file; a file in use is kept")
    blow = add("fans", _fans, "Which fan schedule? Many side by side, the lid as the other lever, and the fresh air.")
    add_box(blow)
    blow.add_argument(
        "--own",
        action="append",
        default=[],
        metavar="SCHEDULE",
        help='a schedule of yours to compare, such as "exchange 15 min every 1 h" or "circulate 07:00-09:00"; repeatable',
    )
    blow.add_argument(
        "--animals-g",
        type=float,
        metavar="GRAMS",
        help="mass of all animals, for their breath (default: not counted, and asked for where the box may hold some)",
    )
    blow.add_argument(
        "--dry-within-h", type=float, metavar="HOURS", default=DRY_WITHIN_H,
        help=f"by when leaves and front pane should be dry after a spray (default: {DRY_WITHIN_H:g})",
    )  # fmt: skip
    more.picture_options(blow)
    add_box(add("rescue", _rescue, "My soil is soggy: how many days until it has air again, under each remedy?"))
    ahead = add("forecast", _forecast, "What comes in the next weeks if I go on as now? Writes a picture of it too.")
    add_box(ahead)
    more.forecast_options(ahead)
    mist = add("mister", _mister, "Which automatic watering? Bursts, hours, switch and tank, and what each way costs.")
    add_box(mist)
    more.mister_options(mist)
    gone = add("away", _away, alone.WORDS)
    add_box(gone)
    alone.options(gone)
    fault = add("fails", _fails, "What if a device fails or the mains are cut? Hours until danger, alarms, floods.")
    add_box(fault)
    more.fails_options(fault)
    page = add(
        "report", _report, "Everything about a box on one page, with the week's plan to print; takes a minute or two."
    )
    page.add_argument("box", nargs="?", default=DEFAULT_BOX, metavar="BOX", help=BOX_HELP)
    page.add_argument(
        "--file", metavar="FILE", help="where to write it (default: BOX-report.html); a file in use is kept"
    )
    page.add_argument(
        "--pdf",
        action="store_true",
        help="print it to a PDF too, beside the page, with a browser that is installed here",
    )
    care = add("cautions", _cautions, "Every caution, or those that concern one box, in full.")
    care.add_argument(
        "box", nargs="?", metavar="BOX", help="the name of a demo, or a file of yours (default: all cautions)"
    )
    add("demos", _demos, "List the invented boxes that come with terralab.")
    box = add("box", _box, "Write a copy of a demo description for you to change.")
    box.add_argument("name", metavar="NAME", help="the demo to copy; `terralab demos` lists them")
    box.add_argument("file", nargs="?", metavar="FILE", help="the new file (default: my-NAME.toml)")
    check = add("check", _check, "Read a description, list what is wrong with it, or say it back in words.")
    check.add_argument("file", metavar="FILE", help="a file of yours, or the name of a demo")
    material = add("material", _material, "List the materials, or print one with its numbers, sources and grades.")
    material.add_argument("name", nargs="*", metavar="NAME", help="a material, plant, device, group or table")
    books = add("notebooks", _notebooks, "Copy the notebooks to a folder of yours and open JupyterLab there.")
    books.add_argument("folder", nargs="?", default=DEFAULT_FOLDER, metavar="FOLDER", help=f"default: {DEFAULT_FOLDER}")
    books.add_argument("--no-open", action="store_true", help="only copy")
    learning.add(add, _draw)
    add_others(add)
    parser.commands = dict(commands.choices)
    return parser, tuple(commands.choices)


def _water(asked: argparse.Namespace) -> None:
    answer, name = _answered(asked, tl.daily_water)
    if asked.no_picture or (asked.json and not asked.picture):
        return
    _draw(asked, f"{name}-water", lambda show: show.water_picture(answer.record, answer))


def _soak(asked: argparse.Namespace) -> None:
    _answered(asked, tl.first_soak)


def _drainage(asked: argparse.Namespace) -> None:
    answer, name = _answered(asked, tl.drainage)
    if asked.picture:
        _draw(asked, f"{name}-section", lambda show: show.section_picture(answer.record))


def _fans(asked: argparse.Namespace) -> None:
    with bar("fan schedules", _say_aside) as progress:
        answer, name = _answered(
            asked,
            lambda box: tl.fan_schedules(
                box,
                own_from_texts(box, asked.own),
                animals_g=asked.animals_g,
                dry_within_h=asked.dry_within_h,
                progress=progress,
            ),
        )
    if asked.no_picture or (asked.json and not asked.picture):
        return
    _draw(asked, f"{name}-fans", lambda show: show.fans_picture(answer))


def _rescue(asked: argparse.Namespace) -> None:
    _answered(asked, tl.rescue)


def _forecast(asked: argparse.Namespace) -> None:
    answer, name = _answered(asked, lambda box: tl.forecast(box, asked.days, asked.season, start=asked.record))
    if asked.no_picture or (asked.json and not asked.picture):
        return
    _draw(asked, f"{name}-forecast", lambda show: show.forecast_picture(answer))


def _mister(asked: argparse.Namespace) -> None:
    answer, name = _answered(asked, lambda box: tl.mister(box, asked.season, asked.days_tank))
    if asked.no_picture or (asked.json and not asked.picture) or not answer.table:
        return
    _draw(asked, f"{name}-mister", lambda show: show.mister_picture(answer))


def _away(asked: argparse.Namespace) -> None:
    found = alone.absence(asked)
    answer, name = _answered(asked, lambda box: tl.away(box, found.days, found.season, found.visits))
    said_of = []
    if asked.sheet and alone.is_text(asked.sheet):
        said_of.append(alone.sheet_words(alone.text_sheet(asked, found, answer, name)))
    if asked.picture or (asked.sheet and not said_of):
        from terralab import show  # late: drawing takes a second to load, and the words come first

        if asked.sheet and not said_of:
            page = show.helper_page(answer, found.leaves)
            said_of.append(alone.sheet_words(show.save_report(page, asked.sheet, f"{name}-helper")))
        if asked.picture:
            said_of.append(f"Picture: {show.save(show.away_picture(answer), asked.picture, stem=f'{name}-away')}")
    for words in said_of:
        print(wrapped(words), file=sys.stderr if asked.json else sys.stdout)


def _fails(asked: argparse.Namespace) -> None:
    answer, name = _answered(asked, lambda box: tl.fails(box, asked.season, mains_h=asked.mains_hours))
    if asked.picture:
        _draw(asked, f"{name}-fails", lambda show: show.fails_picture(answer))


def _report(asked: argparse.Namespace) -> None:
    box = tl.load(asked.box)
    stem = f"{_short_name(asked.box)}-report"
    file = asked.file.removesuffix(".pdf") if asked.pdf and asked.file else asked.file
    place(
        file, stem, ".html"
    )  # a bad place is refused now, not after half a minute; so is a PDF that nothing can print
    by = pdf.needs_browser() if asked.pdf else None
    with told_while_preparing(_say_aside):
        answers = tl.all_answers(box, step=lambda number, of, question: _say_aside(f"{number} of {of}: {question}"))
    for question, why in answers.missing.items():
        _say_aside(f"No answer to {question}: {why}")
    from terralab import show  # late: drawing takes a second to load

    in_use = bool(file) and Path(file).is_file()
    today = date.today()
    page = show.report_page(answers, f"{today.day} {today:%B %Y}")
    path = show.save_report(page, file, stem)
    kept = f" ({file} is in use and was kept)" if in_use else ""
    words = f"Report: {path}{kept}. Open it in your browser; print it and stick the week's plan to the box."
    print(wrapped(words), flush=True)  # the page is there, whatever becomes of the PDF
    if by is not None:
        print(
            wrapped(
                f"PDF: {pdf.print_to_pdf(page, path.with_suffix('.pdf'), by)}. The second sheet is the week's plan."
            )
        )


def _draw(asked: argparse.Namespace, stem: str, picture: Callable[[Any], Any]) -> None:
    """Draw `picture`, which is given `terralab.show`, into a file, and say where it lies."""
    from terralab import show  # late: drawing takes a second to load, and the words come first

    in_use = bool(asked.picture) and Path(asked.picture).is_file()
    path = show.save(picture(show), asked.picture, stem=stem)
    words = f"Picture: {path}" + (f" ({asked.picture} is in use and was kept)" if in_use else "")
    print(wrapped(words), file=sys.stderr if asked.json else sys.stdout)


def _cautions(asked: argparse.Namespace) -> None:
    found = for_box(tl.load(asked.box)) if asked.box else EVERY
    print("\n".join(wrapped(f"- {text}") for text in found))


def _demos(asked: argparse.Namespace) -> None:
    for name in tl.demos():
        print(wrapped(f"{name:<14}{' '.join(tl.load(name).note.split()).split('. ')[0].rstrip('.')}.", hang=14))


def _box(asked: argparse.Namespace) -> None:
    path = copy_demo(asked.name, asked.file)
    print(wrapped(f"Wrote {path}. Change what differs in your box, then run: terralab water {path}"))


def _check(asked: argparse.Namespace) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)  # what loading would note is listed below
        box = tl.load(asked.file)
    print(wrapped(box.describe(), hang=0))
    for line in made_up(box):
        print(wrapped(line, hang=4))
    odd = [*doubts(box), *(caution.removeprefix(f"{box.name}: ") for caution in box.cautions())]
    if odd:
        print(wrapped("\nLook again:\n" + "\n".join(f"  - {one}" for one in odd)))
    found = "Nothing is refused, but see to the points above." if odd else "No problems found."
    print(wrapped(f"\n{found} If that is your box, run: terralab water {asked.file}"))


def _material(asked: argparse.Namespace) -> None:
    name = " ".join(" ".join(asked.name).split()).lower()
    listed = {table: materials.names(table) for table in materials.tables()}
    if not name or name in listed:
        for table in [name] if name else listed:
            print(wrapped(f"{table}: {', '.join(listed[table])}"))
        if name == "groups":
            print(
                "\n".join(wrapped(f"{g}: {said(group_band(materials.get('groups', g)))}", hang=4) for g in listed[name])
            )
        return
    if is_recipe(name):
        print(wrapped(str(materials.get("substrates", name)), hang=4))
        return
    holders = [table for table, names in listed.items() if name in names]
    if not holders:
        raise _unknown_material(name, listed)
    print("\n\n".join(wrapped(str(materials.get(table, name)), hang=4) for table in holders))


def _unknown_material(name: str, listed: dict[str, tuple[str, ...]]) -> UnknownName:
    """The error for a name that no table holds: the nearest few, each with its table, and how to see all."""
    near = closest(name, dict.fromkeys(n for names in listed.values() for n in names))
    shown = [f"{quoted(n)} ({', '.join(t for t, names in listed.items() if n in names)})" for n in near]
    meant = f" Did you mean {' or '.join(shown)}?" if shown else ""
    return UnknownName(
        f"There is no material, device, plant or group called {quoted(name)}.{meant} `terralab material` lists all, "
        f"`terralab material {next(iter(listed))}` those of one table. The tables: {', '.join(listed)}."
    )


def _notebooks(asked: argparse.Namespace) -> int:
    folder, copied, kept = copy_notebooks(asked.folder)
    if copied:
        print(wrapped(f"Copied to {folder}: {', '.join(copied)}"))
    if kept:
        print(wrapped(f"Already in {folder} and kept as they are: {', '.join(kept)}"))
    if asked.no_open:
        return 0
    print(wrapped("Opening JupyterLab in your browser. Press Ctrl-C here to close it."), flush=True)
    return open_lab(folder)


def command() -> None:
    """Be the command `terralab`: run it and end."""
    leave(main())


if __name__ == "__main__":
    command()
