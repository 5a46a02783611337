"""What every command that asks about a box shares: the box and its views, the answer on the screen, words aside."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Protocol, TypeVar

from terralab.answers.common.answer import Answer
from terralab.atomic_files import place
from terralab.cli.waiting import told_while_preparing
from terralab.cli.words import screen, wrapped
from terralab.describe.box import Box
from terralab.describe.files import load

DEFAULT_BOX = "fern-hollow"
BOX_HELP = f"the name of a demo, or a file of yours (default: {DEFAULT_BOX})"

Answered = TypeVar("Answered", bound=Answer)


class Add(Protocol):
    """Adds a command: its name, what it does (its code, None for 0), and a sentence on it."""

    def __call__(
        self, name: str, does: Callable[[argparse.Namespace], int | None], words: str, /
    ) -> argparse.ArgumentParser: ...


def add_box(command: argparse.ArgumentParser) -> None:
    """Give a command its box, and the views of its answer."""
    command.add_argument("box", nargs="?", default=DEFAULT_BOX, metavar="BOX", help=BOX_HELP)
    add_views(command)


def add_views(command: argparse.ArgumentParser) -> None:
    """Give a command the views of its answer."""
    how = command.add_mutually_exclusive_group()
    how.add_argument("--why", action="store_const", dest="view", const="why", help="the reasons too")
    how.add_argument("--all", action="store_const", dest="view", const="all", help="everything, tables too")
    how.add_argument("--json", action="store_true", help="only data (JSON), for other programs")
    command.set_defaults(view="short")


def short_name(box: str) -> str:
    """The name of a box for files."""
    return Path(box).name.removesuffix(".toml")


def answered(asked: argparse.Namespace, question: Callable[[Box], Answered]) -> tuple[Answered, str]:
    """Answer the question for the box asked about, print it, and give it with a short name of the box for files."""
    answer = computed(asked, question)
    print_answer(asked, answer)
    return answer, short_name(asked.box)


def computed(asked: argparse.Namespace, question: Callable[[Box], Answered]) -> Answered:
    """Answer the question for the box asked about, and print nothing of it."""
    box = load(asked.box)
    if getattr(asked, "picture", None):
        place(asked.picture, "picture", ".png")  # a bad place is refused now, not after a minute
    with told_while_preparing(say_aside):
        return question(box)


def print_answer(asked: argparse.Namespace, answer: Answer) -> None:
    """Print an answer as it is asked for: a view of it, or data."""
    print(answer.json() if asked.json else screen(answer, asked.view), flush=True)


def say_aside(text: str) -> None:
    """Say something on the error stream, beside what a command is asked for."""
    if sys.stderr is not None:
        with suppress(OSError):  # words that reach nobody are no reason to fail
            print(wrapped(text), file=sys.stderr, flush=True)
