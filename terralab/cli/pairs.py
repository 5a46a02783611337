"""Options of a command that are two words with = between, such as --sensor "Temp 1=box low"."""

from __future__ import annotations

from collections.abc import Sequence

from terralab.errors import TerralabError, quoted

_EXAMPLE = {
    "--sensor": '"Temp 1=box low"',
    "--column": '"value=humidity"',
    "--device": '"plant light=Lamp"',
}


def pairs(option: str, given: Sequence[str]) -> dict[str, str] | None:
    """Return what stands right of the last "=" of each by what stands left of it; None where nothing was given.

    Raises TerralabError, with an example of the option, for what is no such pair.
    """
    out = {}
    for one in given:
        left, sign, right = one.rpartition("=")
        if not sign or not left.strip() or not right.strip():
            raise TerralabError(
                f"{option} must be two words with = between, such as {_EXAMPLE[option]}; {quoted(one)} was given."
            )
        out[left.strip()] = right.strip()
    return out or None
