"""Reads the words of a command, and refuses a slip in plain words with the nearest good one."""

from __future__ import annotations

import argparse
from typing import Any, NoReturn

from terralab.errors import TerralabError, quoted, suggestion
from terralab.wording import lines


class Parser(argparse.ArgumentParser):
    """An argument parser that speaks like the rest of terralab."""

    def __init__(self, **given: Any) -> None:
        super().__init__(**{"formatter_class": _Narrow, **given})
        self.commands: dict[str, argparse.ArgumentParser] = {}

    def parse_args(self, args: Any = None, namespace: Any = None) -> Any:
        """Read the words; what nobody asked for is named with the nearest option of that command."""
        read, left = self.parse_known_args(args, namespace)
        if left:
            command = self.commands.get(next((word for word in args if word in self.commands), ""), self)
            options = [option for option in command._option_string_actions if option.startswith("--")]
            said = (f"{quoted(left[0])} is not known here.", suggestion(left[0], options), _help(command))
            raise TerralabError(" ".join(part for part in said if part))
        return read

    def error(self, message: str) -> NoReturn:
        """Refuse with a sentence in place of a usage line."""
        raise TerralabError(f"{message[:1].upper()}{message[1:]}. {_help(self)}")


class _Narrow(argparse.HelpFormatter):
    def __init__(self, prog: str) -> None:
        super().__init__(prog, max_help_position=18)

    def _split_lines(self, text: str, width: int) -> list[str]:
        return lines(" ".join(text.split()), width)

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        return "\n".join(lines(" ".join(text.split()), width, indent, indent))


def _help(parser: argparse.ArgumentParser) -> str:
    return f"All it takes: {parser.prog} --help"
