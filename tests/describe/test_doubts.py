"""`check` questions what is allowed but most likely a slip: in words, with the entry, and without refusing the box."""

import pytest

import terralab as tl
from terralab import __main__ as cli
from terralab.describe.doubts import BRISK_ACH, doubts

#: changes of the demo "fern-hollow", and what is then said
ODD = [
    ({"enclosure.plants.root_depth": "40 cm"}, "root_depth is 40 cm"),
    ({"enclosure.layers": [{"material": "fine coir mix", "depth": "1 cm"}]}, "only 1 cm deep"),
    ({"enclosure.layers": [{"material": "fine coir mix", "depth": "5 cm"}]}, "taken as 8 cm where none is given"),
    ({"enclosure.openings": [{"name": "top", "wall": "lid", "width": "9 cm", "height": "9 cm", "mesh": False}],
      "routine.fans": []}, "hole in the lid without mesh"),
    ({"routine.lamps": [{"name": "bar", "kind": "led bar outside lid", "power": "0 W", "timer": "always"}]}, "is 0 W"),
    ({"enclosure.mesh_barrier": False}, "no mesh barrier"),
    ({"enclosure.drain_hole": True}, "2 cm of water stand in the drainage layer"),
    ({"routine.fans": [{"name": "blower", "mode": "exchange", "flow": "150 m3/h", "timer": "always"}]}, "free_flow"),
    ({"routine.fans": [{"name": "blower", "mode": "exchange", "free_flow": "150 m3/h", "timer": "always"}]}, "smaller fan"),
    ({"routine.fans": [{"name": "stirrer", "mode": "circulate", "air_speed": "3 m/s", "timer": "always"}]}, "draught"),
]  # fmt: skip


@pytest.mark.parametrize("name", tl.demos())
def test_a_sound_box_raises_no_doubt(name):
    assert doubts(tl.load(name)) == ()


@pytest.mark.parametrize(("changes", "said"), ODD)
def test_an_odd_entry_is_questioned_by_check_and_runs_all_the_same(changes, said, tmp_path, capsys):
    box = tl.load("fern-hollow").change(**changes)
    assert any(said in one for one in doubts(box))
    path = tl.save(box, tmp_path / "odd.toml")
    assert cli.main(["check", str(path)]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "Look again:" in out
    assert said in out
    assert "Nothing is refused" in out


def test_the_mark_for_a_fan_grows_with_the_box():
    """A law: what is questioned is how often the air is swapped, not the size of the fan."""
    box = tl.load("fern-hollow")
    for scale in (0.5, 1.0, 2.0):
        sized = box.change(**{"enclosure.height": box.enclosure.surface_cm + scale * box.enclosure.air_height_cm})
        edge = BRISK_ACH * sized.enclosure.air_volume_m3
        for flow, odd in ((0.99 * edge, False), (1.01 * edge, True)):
            fan = [{"name": "f", "mode": "exchange", "flow": flow, "timer": "always"}]
            assert bool(doubts(sized.change(**{"routine.fans": fan}))) is odd
