"""Change single entries of a description by their dotted words, as in `enclosure.openings.lid.covered`."""

from __future__ import annotations

from collections.abc import Mapping

from terralab.describe.fields import label_of
from terralab.errors import DescriptionError, advice, quoted


def with_changes(table: Mapping[str, object], changes: Mapping[str, object]) -> dict[str, object]:
    """Return a copy of `table`, a whole description, with the entries at the dotted paths set to new values.

    An item of a list is found by its name or by its number from 1. A value of None removes the entry or
    item; a part built in Python is written out. Whether the new entry is good is left to the reader of the
    table. A path that leads nowhere raises `DescriptionError`.
    """
    changed = _copied(table)
    for path, value in changes.items():
        _change(changed, path, value)
    return changed


def _change(table: dict, path: str, value: object) -> None:
    steps = path.split(".")
    if not all(steps):
        raise DescriptionError.of(
            path or "change",
            "given a path with an empty word",
            "words joined by dots, such as room.temperature",
        )
    here: object = table
    for depth, step in enumerate(steps):
        place, last = ".".join(steps[: depth + 1]), depth == len(steps) - 1
        if isinstance(here, list):
            index = _index(here, step, place)
            if last:
                here[index : index + 1] = [] if value is None else [_written(value)]
                return
            here = here[index]
        elif isinstance(here, dict):
            if last:
                # None is read as absent, so a misspelt word is still noticed.
                here[step] = _written(value)
                return
            # A part that is not there yet is begun. The reader says what else it needs.
            here = here.setdefault(step, {})
        else:
            above = ".".join(steps[:depth])
            raise DescriptionError.of(
                place,
                f"{above} is {quoted(here)}, which has no entries of its own",
                above,
                f'Change {above} as a whole, for example to {{"{step}": ...}}.',
            )


def _index(items: list, step: str, place: str) -> int:
    labels = [label_of(item, number) for number, item in enumerate(items, 1)]
    if step in labels:
        return labels.index(step)
    numbers = [str(number) for number in range(1, len(items) + 1)]
    if step in numbers:
        return numbers.index(step)
    named = [label for label in labels if not label.isdigit()]
    allowed = f"a {'name or a ' if named else ''}number from 1 to {len(items)}"
    raise DescriptionError.of(place, f"given {quoted(step)}", allowed, advice(step, named) if named else "")


def _written(value: object) -> object:
    if isinstance(value, (list, tuple)):
        return [_written(item) for item in value]
    if isinstance(value, dict):
        return {key: _written(item) for key, item in value.items()}
    return value.write() if hasattr(value, "write") and not isinstance(value, type) else value


def _copied(value: object) -> object:
    if isinstance(value, Mapping):
        return {key: _copied(item) for key, item in value.items()}
    return [_copied(item) for item in value] if isinstance(value, list) else value
