"""The loader refuses every row that hides its origin or cannot be real, and says what to do."""

from __future__ import annotations

import copy
import pickle
from dataclasses import FrozenInstanceError

import pytest

from terralab import materials
from terralab.errors import TerralabError, UnknownName
from terralab.materials import TableError, read_table
from terralab.materials.plain import PLAIN, SOIL_GROUPS, in_words, written
from terralab.materials.schema import DEFAULTS, SCHEMAS

HEADER = "name,property,low,typical,high,unit,grade,source,note"
LAMP = [
    "test lamp,light,0.1,0.2,0.3,share,G,made up for this test,",
    "test lamp,radiant,0.1,0.2,0.3,share,G,made up for this test,",
    "test lamp,convective,0.1,0.2,0.3,share,G,made up for this test,a word",
    "test lamp,photons_per_joule,1,1.5,2,umol/J,G,made up for this test,",
    "test lamp,lux_per_umol,60,70,80,lux/umol,G,made up for this test,",
]


def read(*rows: str, table: str = "lamps", header: str = HEADER):
    return read_table(table, [header, *rows])


def test_a_complete_table_is_read():
    entry = read(*LAMP, "test lamp,note,,,,text,CP,common practice,Mind the cable.")["test lamp"]
    assert entry["light"] == materials.Number(0.1, 0.2, 0.3, "share", "G", "made up for this test", "")
    assert entry.typical("convective") == 0.2
    assert entry["convective"].note == "a word"
    assert entry.notes == ("Mind the cable.",)
    assert list(entry) == ["light", "radiant", "convective", "photons_per_joule", "lux_per_umol"]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("test lamp,light,0.1,0.2,0.3,share,G,,", "no source"),
        ("test lamp,light,0.1,0.2,0.3,share,G,   ,", "no source"),
        ("test lamp,light,0.1,0.2,0.3,share,,made up,", "the grade is nothing"),
        ("test lamp,light,0.1,0.2,0.3,share,A,made up,", "the grade is A. Allowed: S, L, D, M, CP, G"),
        ("test lamp,light,0.3,0.2,0.4,share,G,made up,", "they must rise"),
        ("test lamp,light,0.1,0.5,0.4,share,G,made up,", "they must rise"),
        ("test lamp,light,0.1,0.2,0.3,furlong,G,made up,", "unknown unit 'furlong'"),
        ("test lamp,light,0.1,0.2,0.3,m/s,G,made up,", "the unit is m/s, it must be share"),
        ("test lamp,lihgt,0.1,0.2,0.3,share,G,made up,", 'Did you mean "light"'),
        ("test lamp,light,0.1,,0.3,share,G,made up,", "typical is empty"),
        ("test lamp,light,0.1,nan,0.3,share,G,made up,", "typical is nan"),
        ("test lamp,light,0.1,0.2,inf,share,G,made up,", "high is inf"),
        ('test lamp,light,0.1,"0,2",0.3,share,G,made up,', "typical is 0,2"),
        ("test lamp,light,0.1,0.2,1.3,share,G,made up,", "cannot be real"),
        ("Test lamp,light,0.1,0.2,0.3,share,G,made up,", "small letters"),
        (",light,0.1,0.2,0.3,share,G,made up,", "no name"),
        ("test lamp,light,0.1,0.2,0.3,share,G,made up", "8 cells"),
        ("test lamp,note,,,,text,G,,A word.", "no source"),
        ("test lamp,note,,,,text,G,made up,", "a note needs"),
        ("test lamp,note,1,1,1,text,G,made up,A word.", "a note needs"),
    ],
)
def test_a_bad_row_is_refused(row, words):
    with pytest.raises(TableError, match="Table lamps, line 2") as caught:
        read(row, *LAMP[1:])
    assert words in str(caught.value)
    assert isinstance(caught.value, TerralabError)


def test_a_missing_property_is_refused():
    with pytest.raises(TableError, match="test lamp lacks convective"):
        read(*LAMP[:2])


def test_an_entry_of_notes_alone_is_refused():
    with pytest.raises(TableError, match="lacks light, radiant, convective"):
        read("test lamp,note,,,,text,CP,common practice,Mind the cable.")


def test_a_doubled_property_is_refused():
    with pytest.raises(TableError, match="given twice"):
        read(*LAMP, LAMP[0])


def test_a_wrong_header_and_an_empty_table_are_refused():
    with pytest.raises(TableError, match="the first line must be name,property"):
        read(*LAMP, header=HEADER.replace("source", "origin"))
    with pytest.raises(TableError, match="holds no rows"):
        read()


def test_shares_above_the_whole_are_refused():
    rows = [row.replace("0.1,0.2,0.3", "0.1,0.4,0.5") for row in LAMP]
    with pytest.raises(TableError, match=r"add up to 1\.2"):
        read(*rows)


def test_a_process_without_a_schema_is_refused():
    with pytest.raises(TableError, match="no process of that name"):
        read("rain,ach,1,2,3,1/h,G,made up,", table="defaults")


def altered(table: str, name: str, **typical: float) -> list[str]:
    """The rows of a shipped entry with some numbers replaced, for checks that look at several together."""
    entry = materials.get(table, name)
    rows = []
    for prop, number in entry.numbers.items():
        low, mid, high = (typical[prop],) * 3 if prop in typical else (number.low, number.typical, number.high)
        rows.append(f"{name},{written(table, prop)},{low!r},{mid!r},{high!r},{number.unit},G,made up for this test,")
    return rows


@pytest.mark.parametrize(
    ("table", "name", "typical", "words"),
    [
        ("substrates", "loam topsoil", {"theta_r": 0.45}, "water_left_when_dry must be below pore_space"),
        ("substrates", "loam topsoil", {"l": -6.0}, "at or below -2/m"),
        ("substrates", "bark and peat mix", {"l": -6.0}, "at or below -2/m"),
        ("substrates", "loam topsoil", {"air_entry": 0.04}, "air_entry must not exceed"),
        (
            "substrates",
            "peat-based mix",
            {"repellent_below": 0.1},
            "sheds_water_below must be 0 or above water_left_when_dry",
        ),
        ("substrates", "loam topsoil", {"bypass_share": 0.1}, "share_that_runs_past must be 0"),
        ("groups", "arid lizards", {"day_rh_low": 50.0}, "day_rh_low must be below day_rh_high"),
        ("plants", "ferns", {"dry_limit_head": -1.0}, "dry_limit_head must lie below"),
        ("covers", "leaf litter", {"porous": 0.5}, "porous is 1 for"),
        (
            "aggregates",
            "gravel 8-15 mm",
            {"loose_density": 2500.0, "particle_density": 2400.0},
            "cannot be denser",
        ),
    ],
)
def test_numbers_that_cannot_stand_together_are_refused(table, name, typical, words):
    assert read(*altered(table, name), table=table)[name].name == name
    with pytest.raises(TableError) as caught:
        read(*altered(table, name, **typical), table=table)
    assert words in str(caught.value)


def test_half_a_second_pore_domain_is_refused():
    rows = [row for row in altered("substrates", "bark and peat mix") if ",second_pores_evenness," not in row]
    with pytest.raises(TableError, match="needs all three of second_pores_share"):
        read(*rows, table="substrates")


def test_half_a_night_band_is_refused():
    rows = [row for row in altered("groups", "orchids") if ",night_temp_high," not in row]
    with pytest.raises(TableError, match="lacks night_temp_high"):
        read(*rows, table="groups")


def test_unknown_names_get_the_nearest_good_one():
    with pytest.raises(UnknownName, match='Did you mean "fine coir mix"'):
        materials.get("substrates", "fine coir mx")
    with pytest.raises(UnknownName, match='Did you mean "substrates"'):
        materials.names("substrats")
    with pytest.raises(UnknownName, match='Did you mean "theta_s"'):
        materials.get("substrates", "washed sand")["theta-s"]
    for wrong in (None, 3, ["washed sand"]):
        with pytest.raises(UnknownName, match="There is no entry in the table substrates called"):
            materials.get("substrates", wrong)


def test_names_forgive_capitals_and_spaces():
    assert materials.get("substrates", "  Fine Coir  MIX") is materials.get("substrates", "fine coir mix")


def test_entries_are_frozen_cached_and_travel_between_processes():
    entry = materials.get("aggregates", "gravel 8-15 mm")
    assert materials.get("aggregates", "gravel 8-15 mm") is entry
    with pytest.raises(FrozenInstanceError):
        entry.name = "sand"
    with pytest.raises(TypeError):
        entry.numbers["void_fraction"] = 1.0
    for twin in (pickle.loads(pickle.dumps(entry)), copy.deepcopy(entry)):
        assert twin == entry
        assert hash(twin) == hash(entry)


def test_get_gives_a_default_for_what_an_entry_lacks():
    entry = materials.get("substrates", "washed sand")
    assert entry.get("w2") is None
    assert entry.get("w2", entry["n"]) is entry["n"]
    assert "w2" not in entry
    assert "w2" in materials.get("substrates", "bark and peat mix")


def test_printing_shows_every_number_with_unit_range_grade_and_source():
    for table in materials.tables():
        for name in materials.names(table):
            entry = materials.get(table, name)
            lines = str(entry).splitlines()
            for prop, number in entry.numbers.items():
                (line,) = [one for one in lines if one.startswith(f"  {in_words(prop)}: ")]
                assert f"{number.typical:g}" in line
                assert f"[{number.grade}] {number.source}" in line
                assert number.unit in line or number.unit == "-"
                assert number.low == number.high or f"range {number.low:g} to {number.high:g}" in line


def test_no_printed_number_goes_by_a_letter_of_the_formulas():
    """A keeper reads words; the letters stand once below, for those who write a little Python."""
    for table in materials.tables():
        for name in materials.names(table):
            lines = str(materials.get(table, name)).splitlines()[1:]
            for line in lines:
                if line.startswith("  Names in Python"):
                    continue
                words = line.partition(":")[0].split()
                assert not {"theta", "alpha", "lambda", "ks", "n", "l", "n2", "w2", "h"} & {
                    w.strip(",") for w in words
                }, line
                assert "_" not in line.partition(":")[0]


def test_every_property_has_words_of_its_own():
    for schema in (*SCHEMAS.values(), *DEFAULTS.values()):
        said = [in_words(prop) for prop in schema]
        assert len(set(said)) == len(said)
        assert all("_" not in words and len(words) > 3 for words in said)


@pytest.mark.parametrize("table", ["substrates", "soils"])
def test_soils_are_written_in_our_own_names_order_and_groups(table):
    """The rows of a soil stand in the order of the groups, and the letters of the formulas are no names of rows."""
    order = [prop for group in SOIL_GROUPS.values() for prop in group.values()]
    assert set(order) == set(SCHEMAS[table])
    for name in materials.names(table):
        held = list(materials.get(table, name))
        assert held == sorted(held, key=order.index)
    rows = altered(table, materials.names(table)[0])
    with pytest.raises(TableError, match="unknown property"):
        read(*(row.replace(",pore_space,", ",theta_s,") for row in rows), table=table)
    with pytest.raises(TableError, match='Did you mean "pore_space"'):
        read(*(row.replace(",pore_space,", ",pore_spaec,") for row in rows), table=table)
    assert {"theta_s", "theta_r", "alpha", "n", "ks", "l"} <= set(PLAIN)


def test_a_mesh_that_is_neither_woven_nor_a_sheet_is_refused():
    rows = [row for row in altered("meshes", "perforated sheet") if ",sheet_mm," not in row]
    with pytest.raises(TableError, match="both hole_mm and sheet_mm"):
        read(*rows, table="meshes")
    rows = [row for row in altered("meshes", "window screen") if ",thread_mm," not in row]
    with pytest.raises(TableError, match="a mesh has thread_mm"):
        read(*rows, table="meshes")
