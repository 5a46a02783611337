"""What the devices of a box did, from columns of a log: on and off, percent, or watts, as a load of 0 to 1."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from terralab.errors import TerralabError, UnknownName, quoted
from terralab.logs.cells import Numbers, plain_text, words_of
from terralab.logs.headings import unit_in
from terralab.logs.layout import Sheet
from terralab.units import parse

_ON = words_of("on true yes y 1 an ein ja oui marche si encendido aan high running active open")
_OFF = words_of("off false no n 0 aus nein non arret apagado uit low stopped inactive closed idle")
_SLACK = 0.1  # a load so far above what is full is still the full one


def device_columns(sheet: Sheet, devices: Mapping[str, object] | None) -> dict[str, tuple[int, str | None]]:
    """Return, for each device, its column and what stands there at full load (None: not said). Raises `TerralabError`."""
    out: dict[str, tuple[int, str | None]] = {}
    for device, given in (devices or {}).items():
        column, full = given if isinstance(given, tuple) and len(given) == 2 else (given, None)
        if (
            not isinstance(device, str)
            or not isinstance(column, str)
            or not (full is None or isinstance(full, (str, int, float)))
        ):
            raise TerralabError(
                'devices names a column for each device, as in devices={"plant light": "Lamp"}, or with what stands there at full load: '
                f'{{"plant light": ("Lamp", "24 W")}}; {quoted(given)} was given for {quoted(device)}.'
            )
        low = plain_text(column)
        hit = [k for k, name in enumerate(sheet.names) if plain_text(name) == low]
        hit = hit or [k for k, name in enumerate(sheet.names) if low and f" {low} " in f" {plain_text(name)} "]
        if len(hit) != 1:
            raise UnknownName.among("column" if not hit else "single column", column, sheet.names)
        out[device] = (hit[0], None if full is None else str(full))
    return out


def loads(sheet: Sheet, device: str, column: int, full: str | None, decimal: str | None) -> tuple[np.ndarray, str]:
    """Return the load of a device, row by row, 0 to 1 and NaN where unknown, and how it was read. Raises `TerralabError`."""
    cells, name = sheet.cells[column], sheet.names[column]
    words = cells.map(plain_text)
    switched = words.map(lambda one: 1.0 if one in _ON else 0.0 if one in _OFF else np.nan).to_numpy(float)
    numbers = Numbers(cells, decimal)
    filled = int(numbers.filled.sum())
    if full is None and filled and np.isfinite(switched).sum() >= 0.9 * filled:
        return switched, f"{quoted(device)} from {quoted(name)}, on or off"
    if decimal is None and numbers.thousands:
        example = next(cell for cell in cells if "," in cell)
        raise TerralabError(
            f'{quoted(example)} in the column {quoted(name)} can be {example.replace(",", ".")} or {example.replace(",", "")}. Say which: decimal="," '
            'or decimal=".".'
        )
    held = numbers.values[np.isfinite(numbers.values)]
    if not len(held) or numbers.share < 0.5:
        raise TerralabError(
            f"The column {quoted(name)} tells no load of {quoted(device)}. Allowed: on and off, 0 to 1, percent, or watts with what is full."
        )
    whole, said = _full(device, name, sheet, column, held, full, numbers.units)
    share = numbers.values / whole
    if held.min() < 0.0 or np.quantile(held, 0.99) / whole > 1.0 + _SLACK:
        raise TerralabError(
            f"The column {quoted(name)} runs from {held.min():g} to {held.max():g}, outside 0 to {whole:g} that is full for {quoted(device)}. Give "
            f'what stands there at full load: devices={{{quoted(device)}: ({quoted(name)}, "24 W")}}.'
        )
    return np.clip(share, 0.0, 1.0), f"{quoted(device)} from {quoted(name)}, {said}"


def _full(
    device: str, name: str, sheet: Sheet, column: int, held: np.ndarray, full: str | None, in_cells: set[str]
) -> tuple[float, str]:
    stated = (
        unit_in(name)
        or unit_in(sheet.units[column])
        or ("%" if "%" in in_cells else "W" if in_cells & {"w", "watt", "watts"} else "")
    )
    if full is not None:
        if "%" in full:
            return 100.0 * parse(full, "share", "share", field="devices"), f"full at {full}"
        amount = parse(full, "power", "W", field="devices")
        if amount <= 0.0:
            raise TerralabError(f"The full load of {quoted(device)} must be more than 0; {quoted(full)} was given.")
        return amount, f"full at {full}"
    if stated == "%":
        return 100.0, "in %"
    if stated != "W" and held.max() <= 1.0:
        return 1.0, "a load of 0 to 1"
    raise TerralabError(
        f"The column {quoted(name)} goes up to {held.max():g}, which can be percent or watts. Give what stands there at full load: "
        f'devices={{{quoted(device)}: ({quoted(name)}, "100 %")}} or ("{name}", "24 W").'
    )
