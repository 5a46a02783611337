"""Where the floor is bare in part, what only soil has or does is counted over the soil alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from terralab.answers.drainage.bottoms import OVER_MM, over_ml, wick_cm2
from terralab.answers.drainage.sizing import fill_litres
from terralab.answers.drainage.weight import weight
from terralab.answers.fans.fresh_air import sources
from terralab.answers.soak.first_soak import wetting_of
from terralab.answers.soak.pace import pace_for
from terralab.describe import Box, Ground, Plants
from tests.keepers import keepers_box

pytestmark = pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")


def pots(box: Box, bare: float) -> Box:
    """The box without a routine, dish or hide, and with a share of its floor bare."""
    glass = replace(box.enclosure, ground=Ground(bare_floor=bare), dish=None, hide=None)
    return replace(box, enclosure=glass, routine=replace(box.routine, pours=(), sprays=(), mists=()))


BOXES = [b for b in map(keepers_box, range(30)) if b.enclosure.drainage is not None and not b.enclosure.tube][:4]


@pytest.mark.parametrize("box", BOXES, ids=lambda box: box.name)
def test_half_the_floor_without_soil_is_half_of_what_soil_holds_weighs_and_breathes(box):
    whole, half = pots(box, 0.0), pots(box, 0.5)
    as_before = replace(whole, enclosure=replace(whole.enclosure, ground=None))
    for name in ("soil_dry", "soil_water", "stones_dry", "stones_water", "glass", "full"):
        assert getattr(weight(whole), name) == pytest.approx(getattr(weight(as_before), name))
        if name not in ("glass", "full"):
            assert getattr(weight(half), name) == pytest.approx(0.5 * getattr(weight(whole), name))
    assert weight(half).glass == pytest.approx(weight(whole).glass)
    for end in ("low", "typical", "high"):
        assert sources(half)["soil"][end] == pytest.approx(0.5 * sources(whole)["soil"][end])
    assert over_ml(whole) == pytest.approx(1000.0 * OVER_MM * box.enclosure.floor_area_m2)
    assert over_ml(half) == pytest.approx(0.5 * over_ml(whole))
    assert wick_cm2(half) <= 0.56 * wick_cm2(whole)  # both to one figure
    wets, by_half = (wetting_of(one, {}) for one in (whole, half))
    assert by_half.lacks == pytest.approx(wets.lacks)
    assert by_half.floor == pytest.approx(0.5 * wets.floor)
    paces = {pace_for(one.soil, one.dry_to, one.room, one.lacks).portions for one in (wets, by_half)}
    assert len(paces) == 1
    under, above = (fill_litres(one) for one in (whole, half))
    assert above == pytest.approx([0.5 * litres for litres in under], rel=0.05)


def test_leaves_breathe_by_their_cover_too():
    box = BOXES[0]
    glass = replace(box.enclosure, plants=Plants("ferns", cover=0.5, root_depth_cm=1.0))
    assert glass.leaf_area_m2() > 0.0
    traced = replace(glass, plants=Plants("ferns", 1e4 * glass.leaf_area_m2(), root_depth_cm=1.0))
    by_cover, by_area = (sources(replace(box, enclosure=one))["leaves in the dark"] for one in (glass, traced))
    assert by_cover == pytest.approx(by_area)
