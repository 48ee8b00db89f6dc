import pytest

from firmware.errors import ArgumentError
from tests.asking import asked, printed

CHIPS = ("390,156,20", "320,180,20", "390,204,20")  # the bench's cards at 640x360


def verdict(extra="", spots=CHIPS, **how):
    feed = f"bench:size=640x360,cloud=0,signal=yuv422-10,curve=V-Log{extra}"
    return asked("chips", feed=feed, at=spots, **how)


def test_the_bench_as_it_is():
    found = verdict()
    assert [chip["chip"] for chip in found["chips"]] == ["white", "grey", "black"]
    assert found["chips"][1]["off"] == pytest.approx(0.0, abs=0.02)
    assert found["chips"][1]["unit"] == "st"


def test_exposure_is_named():
    found = verdict(",exposure=-1")
    assert not found["in_tolerance"]
    assert found["explanations"][0]["causes"] == ["exposure"]
    assert found["explanations"][0]["amounts"][0] == pytest.approx(-0.9, abs=0.2)
    assert found["advice"][0].startswith("open the lens")


def test_pins_of_the_profile_by_their_names(tmp_path):
    kit = tmp_path / "kit.toml"
    kit.write_text(
        'curve = "V-Log"\n'
        'pins = [{x = 0.609, y = 0.567, name = "black"}, {x = 0.5, y = 0.5, name = "grey"},'
        ' {x = 0.609, y = 0.433, name = "white"}]\n'
    )
    found = verdict(",exposure=-1", (), profile=str(kit))
    assert found["explanations"][0]["causes"] == ["exposure"]


def test_three_or_none():
    with pytest.raises(ArgumentError, match="white, grey, black"):
        verdict(spots=CHIPS[:2])
    with pytest.raises(ArgumentError, match="no pins named"):
        verdict(spots=())


def test_for_a_person():
    said = printed("chips", feed="bench:size=640x360,cloud=0,curve=V-Log,exposure=-1", at=CHIPS)
    assert "Grey  -1.0" in said
    assert ": OFF" in said
    assert "Open the lens by" in said


def test_the_first_three_pins_of_a_profile_where_none_is_called_so(tmp_path):
    # As on the screen: white, grey, black in the order of their numbers.
    kit = tmp_path / "kit.toml"
    kit.write_text(
        'curve = "V-Log"\n'
        "pins = [{x = 0.609, y = 0.433}, {x = 0.5, y = 0.5}, {x = 0.609, y = 0.567}]\n"
    )
    found = verdict(",exposure=-1", (), profile=str(kit))
    assert found["explanations"][0]["causes"] == ["exposure"]
