"""A diary as people write it: columns in any order, units as typed, dates that can be read in one way only."""

from __future__ import annotations

import random
from datetime import date, datetime, time

import numpy as np
import pandas as pd
import pytest

import terralab as tl
from terralab.errors import TerralabError
from terralab.logs import diary_table
from terralab.logs.diary import WHATS
from terralab.logs.diary_words import SAID, what_of

HEAD = "date,time,what,how much,note\n"
WHOLE = """Date;Time;What;How much;Note
3.8.2026;08:00;poured;120 ml;
;19:00;misted by hand;0,04 l;quick, and short
# 4.8.2026;09:00;poured;99 ml;an example
14.8.2026;8:30 pm;box weighs;13 lb 4 oz;
15.8.2026;20:00;gap;1.2 in;
15.8.2026;20:10;siphoned;17 fl oz;
16.8.2026;07:00;leaves wet;;
16.8.2026;7:00;lid covered;60 %;
16.8.2026;7:00;lamp: spot;off;
"""


def one(line: str, head: str = HEAD, **options: object) -> object:
    return tl.read_diary(head + line + "\n", **options).entries[0]


def test_a_diary_is_read_whatever_its_separator_and_units():
    diary = tl.read_diary(WHOLE)
    found = [(str(e.when)[:16], e.what, e.amount) for e in diary.entries]
    assert found[0] == ("2026-08-03T08:00", "poured", 120.0)
    assert found[1][:2] == ("2026-08-03T19:00", "sprayed")
    assert found[1][2] == pytest.approx(40.0)
    assert found[2] == ("2026-08-14T20:30", "box weighs", pytest.approx((13 + 4 / 16) * 453.59237))
    assert found[3][2] == pytest.approx(3.048)
    assert found[4][2] == pytest.approx(17 * 29.5735295625)
    assert found[5] == ("2026-08-16T07:00", "leaves wet", None)
    assert found[6][2] == 0.6
    assert (found[7][2], diary.entries[7].name) == (0.0, "spot")
    assert diary.entries[1].note == "quick, and short"
    assert "8 entries" in diary.understood
    assert "begin with the day" in diary.understood


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
@pytest.mark.parametrize("order", [("what", "time", "how much", "date"), ("note", "date", "what", "time", "amount")])
def test_columns_may_stand_in_any_order(mark, order):
    cells = {
        "what": "watered",
        "time": "7:05 pm",
        "how much": "250 ml",
        "amount": "250 ml",
        "date": "2026-08-03",
        "note": "x",
    }
    entry = tl.read_diary(mark.join(order) + "\n" + mark.join(cells[k] for k in order)).entries[0]
    assert (entry.what, entry.amount, str(entry.when)) == ("poured", 250.0, "2026-08-03T19:05:00")


@pytest.mark.parametrize(
    "written",
    [
        "2026-08-03",
        "2026/8/3",
        "3.8.2026",
        "03.08.26",
        "3 Aug 2026",
        "August 3, 2026",
        "3rd august 2026",
        "2026-08-03 08:00",
    ],
)
def test_a_day_may_be_written_in_many_ways(written):
    entry = one(f'"{written}",{"" if ":" in written else "08:00"},poured,1 l,')
    assert str(entry.when) == "2026-08-03T08:00:00"


def test_a_date_that_can_be_two_days_is_asked_about():
    with pytest.raises(TerralabError, match=r"3 August or 8 March.*day_first"):
        one("3/8/2026,08:00,poured,1 l,")
    assert str(one("3/8/2026,08:00,poured,1 l,", day_first=True).when)[:10] == "2026-08-03"
    assert str(one("3/8/2026,08:00,poured,1 l,", day_first=False).when)[:10] == "2026-03-08"
    two = tl.read_diary(HEAD + "3/8/2026,08:00,poured,1 l,\n14/8/2026,08:00,poured,1 l,\n")
    assert str(two.entries[0].when)[:10] == "2026-08-03"
    with pytest.raises(TerralabError, match="begins with the day, line 3"):
        tl.read_diary(HEAD + "14/8/2026,08:00,poured,1 l,\n8/15/2026,08:00,poured,1 l,\n")
    with pytest.raises(TerralabError, match="cannot be read with day_first=False"):
        one("14/8/2026,08:00,poured,1 l,", day_first=False)


@pytest.mark.parametrize(
    ("what", "amount", "value"),
    [
        ("poured", "0,5 l", 500.0), ("poured", "0.5 l", 500.0), ("poured", "120 g", 120.0), ("poured", "1 lb", 453.59237),
        ("poured", "1 gal 10 fl oz", 4081.147), ("box weighs", "6,25 kg", 6250.0), ("bottle weighs", "1215", 1215.0),
        ("gap below mesh", "3 cm", 3.0), ("lid covered", "0.5", 0.5), ("lid covered", "open", 0.0), ("lamp", "20", 20.0),
    ],
)  # fmt: skip
def test_amounts_are_read_as_people_type_them(what, amount, value):
    head = HEAD.replace("how much", "how much (g)") if amount == "1215" else HEAD
    assert one(f'2026-08-03,08:00,{what},"{amount}",', head).amount == pytest.approx(value)


def test_the_last_digit_that_was_written_is_known():
    assert one("2026-08-03,08:00,box weighs,6.25 kg,").step == pytest.approx(10.0)
    assert one("2026-08-03,08:00,box weighs,6 kg,").step == pytest.approx(1000.0)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("2026-08-03,08:00,poured,2 cups,", 'line 2.*"cups" is no unit'),
        ("2026-08-03,08:00,poured,120,", "line 2.*without a unit"),
        ("2026-08-03,08:00,poured,17 oz,", 'line 2.*"fl oz"'),
        ("2026-08-03,08:00,poured,,", "line 2.*nothing was given"),
        ("2026-08-03,08:00,poured,-5 ml,", "line 2.*negative"),
        ("2026-08-03,08:00,poured,nan,", "line 2.*how much"),
        ("2026-08-03,08:00,pured,120 ml,", 'line 2.*"pured".*Did you mean "poured"'),
        ("2026-08-03,08:00,level,3 cm,", "line 2.*two things.*gap below mesh.*water depth"),
        ("2026-08-03,08:00,weight,3 kg,", "line 2.*two things.*box weighs"),
        ("2026-08-03,25:00,poured,120 ml,", "line 2.*time of day"),
        ("2026-08-03,08:00+02:00,poured,120 ml,", "line 2.*time zone"),
        ("2026-02-30,08:00,poured,120 ml,", "line 2.*no such day"),
        ("1726-08-03,08:00,poured,120 ml,", "line 2.*year"),
        ("soon,08:00,poured,120 ml,", "line 2.*date"),
        (",08:00,poured,120 ml,", "line 2.*date: nothing"),
        ("2026-08-03,,poured,120 ml,", "line 2.*usual_time"),
        ("2026-08-03,08:00,poured,0,5 l,", "line 2.*without a unit.*quotes"),
        ("2026-08-03,08:00,poured,0,5 l,x", "Line 2.*6 columns.*quotes"),
        ('2026-08-03,08:00,"poured,120 ml,', "Line 2.*quote"),
        ("2026-08-03,08:00,lid covered,60,", "line 2.*60 %"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_line_and_what_to_do(line, words):
    with pytest.raises(TerralabError, match=f"(?s){words}"):
        one(line)


def test_no_amount_is_lost_where_a_decimal_comma_meets_the_comma_between_columns():
    """'0,5 l' without quotes must not be read as nothing poured and a note."""
    for amount in ("0,5 l", "1,5 kg", "12,5 ml"):
        with pytest.raises(TerralabError):
            one(f"2026-08-03,08:00,poured,{amount},after the lamp")
        with pytest.raises(TerralabError):
            one(f"2026-08-03,08:00,poured,{amount}")
    with pytest.raises(TerralabError, match="one number or two"):
        one("2026-08-03,08:00,poured,1,5", HEAD.replace("how much", "how much (l)"))
    assert one("2026-08-03,08:00,poured,12 ml,after the lamp, slowly").note == "after the lamp, slowly"


def test_several_wrong_lines_are_told_at_once():
    with pytest.raises(TerralabError, match=r"(?s)3 lines .* line 2: .* line 3: .* line 4: "):
        tl.read_diary(HEAD + "2026-08-03,08:00,poured,x,\n,08:00,jumped,1 ml,\n,99,poured,1 ml,\n")


def test_lines_without_a_time_or_a_date_count_as_is_said():
    diary = tl.read_diary(HEAD + "2026-08-03,,poured,120 ml,\n,,sprayed,20 ml,\n", usual_time="18:00")
    assert {str(e.when) for e in diary.entries} == {"2026-08-03T18:00:00"}
    assert "2 lines without a time count at 18:00" in diary.understood
    assert "1 line without a date" in diary.understood


def test_a_line_that_stands_there_twice_counts_once():
    diary = tl.read_diary(HEAD + 2 * "2026-08-03,08:00,poured,120 ml,\n")
    assert len(diary.entries) == 1
    assert "twice" in diary.understood


def test_a_table_with_a_column_for_each_thing_done_is_read():
    diary = tl.read_diary("day;time;poured (ml);sprayed (ml)\n2026-08-03;08:00;120;\n2026-08-04;08:00;;35\n")
    assert [(e.what, e.amount) for e in diary.entries] == [("poured", 120.0), ("sprayed", 35.0)]


def test_a_table_of_pandas_is_read(tmp_path):
    frame = pd.DataFrame(
        {
            "what": ["poured", "leaves wet", "sprayed"],
            "when": [pd.Timestamp("2026-08-03 08:00"), datetime(2026, 8, 4), date(2026, 8, 5)],
            "time": [None, time(9, 30), "19:00"],
            "amount [ml]": [120, np.nan, 40.5],
        }
    )
    diary = tl.read_diary(frame)
    assert [(str(e.when)[5:16], e.what, e.amount) for e in diary.entries] == [
        ("08-03T08:00", "poured", 120.0), ("08-04T09:30", "leaves wet", None), ("08-05T19:00", "sprayed", 40.5)
    ]  # fmt: skip


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_file_is_read_as_any_program_writes_it(tmp_path, encoding):
    path = tmp_path / "diary.csv"
    path.write_bytes((HEAD + "2026-08-03,08:00,poured,120 ml,für später\n").encode(encoding).replace(b"\n", b"\n"))
    assert tl.read_diary(path).entries[0].note == "für später"
    assert tl.read_diary(str(path)).entries[0].amount == 120.0


@pytest.mark.parametrize(
    "content", [b"", b"\x00\x01\x02" * 50, b"PK\x03\x04" + bytes(range(256)), b"# only\n", b"\n\n", b"hello"]
)
def test_what_is_no_diary_is_refused_in_words(tmp_path, content):
    path = tmp_path / "diary.csv"
    path.write_bytes(content)
    with pytest.raises(TerralabError, match=r"diary\.csv"):
        tl.read_diary(path)
    broken = tmp_path / "diary.xlsx"
    broken.write_bytes(content)
    with pytest.raises(TerralabError, match="CSV"):
        tl.read_diary(broken)
    with pytest.raises(TerralabError, match="no file"):
        tl.read_diary(tmp_path / "none.csv")


def test_a_small_spreadsheet_that_unpacks_without_end_is_refused_before_it_does(tmp_path, monkeypatch):
    path = tmp_path / "diary.xlsx"
    pd.DataFrame([["2026-08-03", "08:00", "poured", "120 ml", "x" * 30_000]], columns=HEAD.strip().split(",")).to_excel(
        path, index=False
    )
    assert tl.read_diary(path).entries[0].amount == 120.0
    monkeypatch.setattr(diary_table, "LARGEST_UNPACKED", 20_000)
    assert path.stat().st_size < 20_000
    with pytest.raises(TerralabError, match="unpacks to more than"):
        tl.read_diary(path)


def test_every_word_for_what_was_done_leads_to_one_thing():
    for word, what in SAID.items():
        assert what in WHATS
        assert what_of(word.upper().replace(" ", "_"))[0] == what


def test_no_spoilt_diary_ends_in_anything_but_a_sentence():
    """Signs are struck out, doubled, swapped and put in at random: an entry list or an error of ours, nothing else."""
    draw = random.Random(7)
    signs = [
        *"0123456789,;.:/-\"'#\t \n%|()abmlkgé€\x00\ufeff\u202e",
        "2026-08-03",
        "ml",
        "\r\n",
        "9" * 30,
        "1e9",
        "nan",
    ]
    texts = [WHOLE, HEAD + "2026-08-03,08:00,poured,120 ml,a\n2026-08-04,19:00,bottle weighs,1.2 kg,b\n"]
    outcomes = {"read": 0, "refused": 0}
    for _ in range(400):
        text = list(draw.choice(texts))
        for _ in range(draw.randint(1, 6)):
            at = draw.randrange(len(text))
            text[at : at + draw.randint(0, 2)] = [draw.choice(signs)] * draw.randint(0, 2)
        try:
            diary = tl.read_diary(
                "".join(text) + "\n", usual_time=draw.choice([None, "18:00"]), day_first=draw.choice([None, True])
            )
        except TerralabError as error:
            outcomes["refused"] += len(str(error)) > 20
        else:
            assert all(e.amount is None or 0.0 <= e.amount <= 5e6 for e in diary.entries)
            outcomes["read"] += 1
    assert min(outcomes.values()) > 25
    assert sum(outcomes.values()) == 400


#: What may stand in the cells of somebody's DataFrame.
ODD = [
    1, -1, 1.5, np.nan, None, "120 ml", "poured", pd.Timestamp("2026-08-03 08:00"), pd.Timestamp("2026-08-03", tz="UTC"), pd.NaT, pd.NA,
    time(8), date(2026, 8, 3), b"x", [1], {"a": 1}, True, np.float32(3), 10**400, float("inf"), pd.Timedelta("8h"), object(), "",
    np.datetime64("2026-08-03"), np.array([1, 2]), 1 + 2j, "3 cm", "leaves wet",
]  # fmt: skip


@pytest.mark.parametrize("heading", ["how much", "how much (ml)"])
@pytest.mark.parametrize("column", range(5))
def test_whatever_stands_in_a_cell_of_a_table_is_read_or_refused_in_words(column, heading):
    names = ["date", "time", "what", heading, "note"]
    outcomes = []
    for odd in ODD:
        cells = ["2026-08-03", "08:00", "poured", "120 ml", "x"]
        cells[column] = odd
        frame = pd.DataFrame({name: pd.Series([cell], dtype=object) for name, cell in zip(names, cells, strict=True)})
        try:
            outcomes.append(len(tl.read_diary(frame).entries))
        except TerralabError as error:
            outcomes.append(len(str(error)) > 20)
    assert all(outcomes)
