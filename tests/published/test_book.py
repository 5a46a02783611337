"""The validation book says what the cases say today. To write it again: python -m tests.published.book"""

from __future__ import annotations

import csv
import re

from tests.published.book import BOOK, PICTURES, REFERENCE, book, from_memory, memory, number

NUMBER = re.compile(r"(?<![\w.])[-+]?\d+\.?\d*(?:e[-+]?\d+)?", re.IGNORECASE)
REMEDY = "Write it again: python -m tests.published.book"


def last_place(text: str) -> float:
    """What one unit of the last written digit is worth."""
    mantissa, _, exponent = text.lower().partition("e")
    places = len(mantissa.partition(".")[2])
    return 10.0 ** (int(exponent or 0) - places)


def same(written: str, found: str) -> bool:
    """True where two lines differ by no more than a unit of the last digit, which another computer may round off."""
    if NUMBER.sub("#", written) != NUMBER.sub("#", found):
        return False
    pairs = zip(NUMBER.findall(written), NUMBER.findall(found), strict=True)
    return all(abs(float(a) - float(b)) <= 1.01 * max(last_place(a), last_place(b)) for a, b in pairs)


def test_the_book_is_current() -> None:
    written, found = BOOK.read_text(encoding="utf-8").splitlines(), book().splitlines()
    for old, new in zip(written, found, strict=False):
        assert same(old, new), f"{BOOK.name} has\n{old}\nbut the cases say\n{new}\n{REMEDY}"
    assert len(written) == len(found), REMEDY


def test_the_pictures_are_there_and_small() -> None:
    for name in " ".join(PICTURES.values()).split():
        picture = REFERENCE / "pictures" / f"validation-{name}.png"
        assert 5_000 < picture.stat().st_size < 120_000, name


def test_a_stale_line_is_found_out() -> None:
    assert same("| sand | 0.428 | +0.01 % |", "| sand | 0.429 | 0.00 % |")
    assert not same("| sand | 0.428 |", "| sand | 0.431 |")
    assert not same("| sand | 0.428 |", "| loam | 0.428 |")
    assert number(0.0123456, 4) == "0.01235"
    assert number(1234567.0, 4) == "1.235e+06"


def test_no_file_is_skipped_in_what_is_still_from_memory() -> None:
    """Every row of every file whose grade holds an M is listed, counted here from the tables' own text."""
    by_hand = set()
    for path in (REFERENCE.parent / "tests" / "published" / "data").glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(line for line in file if not line.startswith("#")):
                if re.search(r"\bM\b", row.get("grade") or ""):
                    by_hand.add(row["id"])
    assert {"window_one_side", "person_in_office"} <= by_hand
    listed = "\n".join(memory())
    assert {one.id for one in from_memory()} == by_hand
    assert all(f"| `{row}` |" in listed for row in by_hand)
