"""The commands that stand in files of their own."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from terralab.cli import diary, normal

#: Each has `add(add_command)`, which is given the function that makes a command of a name, what it does and its words.
COMMANDS = (diary, normal)


def add_others(add: Callable[..., argparse.ArgumentParser]) -> None:
    """Add every command of `COMMANDS`."""
    for one in COMMANDS:
        one.add(add)
