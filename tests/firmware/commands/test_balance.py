"""`midgrey balance` on the bench: off, advice, dial, in tolerance."""

import io
import json

import pytest

from firmware.clock import HandClock
from firmware.commands.balance import balance
from firmware.errors import ArgumentError
from firmware.written.options import BalanceOptions, Output

SMALL = "size=960x540,signal=yuv444-10"
KEYS = {
    "schema", "feed", "profile", "spot", "dial", "dial_tint", "tolerance", "cct", "cct_pm", "duv",
    "duv_pm", "r_stops", "r_stops_pm", "b_stops", "b_stops_pm", "chroma_percent",
    "chroma_percent_pm", "off_neutral", "off_neutral_pm", "mired_shift", "mired_shift_pm",
    "dial_to", "dial_to_pm", "tint", "tint_pm", "filter", "in_tolerance", "advice", "warnings",
}  # fmt: skip


def printed(feed, **options):
    out = io.StringIO()
    balance(BalanceOptions(feed, **options), HandClock(), out)
    return out.getvalue()


def found(feed, **options):
    return json.loads(printed(feed, output=Output.JSON, **options))


@pytest.fixture(autouse=True)
def eighty_columns(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")


def test_json_has_all_its_keys():
    assert set(found(f"bench:{SMALL}")) == KEYS


@pytest.mark.parametrize("camera", ["", ",curve=V-Log,gamut=V-Gamut", ",curve=S-Log3"])
@pytest.mark.parametrize(("kelvin", "tint"), [(5600, 0), (5600, 6), (3200, -4)])
def test_off_advice_dial_in_tolerance(camera, kelvin, tint):
    light = f"bench:{SMALL},kelvin={kelvin},tint={tint}{camera}"
    first = found(f"{light},dial=4300", dial="4300")
    assert first["in_tolerance"] is False
    assert first["dial_to"] == pytest.approx(kelvin, abs=50 if kelvin == 5600 else 25)
    assert first["tint"] == pytest.approx(tint, abs=0.6)
    dial, turn = round(first["dial_to"], -1), round(first["tint"])
    second = found(f"{light},dial={dial},dial-tint={turn}", dial=f"{dial:.0f}", tint=f"{turn}")
    assert second["in_tolerance"] is True
    assert second["advice"] == ["in tolerance: leave the balance as it is"]
    assert abs(second["mired_shift"]) < 2.0


def test_a_refusal_is_said_and_leaves_no_number():
    clipped = found(f"bench:{SMALL},exposure=5", dial="5600")
    assert clipped["cct"] is clipped["dial_to"] is clipped["in_tolerance"] is None
    assert any("clipped in" in sentence for sentence in clipped["warnings"])
    assert clipped["advice"] == [s for s in clipped["warnings"] if "the card is clipped" in s]
    text = printed(f"bench:{SMALL},exposure=5")
    assert "The card is clipped in" in text
    assert "Shown as" not in text


def test_without_a_dial_it_says_so():
    answer = found(f"bench:{SMALL},kelvin=3200,dial=5600")
    assert answer["dial_to"] is None
    assert any("dial_to unknown" in sentence for sentence in answer["warnings"])


def test_the_profile_can_hold_the_dial(tmp_path):
    path = tmp_path / "kit.toml"
    path.write_text('curve = "BT.709"\n[balance]\ndial = "4300 K"\ntolerance = "9 steps"\n')
    answer = found(f"bench:{SMALL},kelvin=5600,dial=4300", profile=str(path))
    assert answer["dial"] == 4300.0
    assert answer["dial_to"] == pytest.approx(5600, abs=50)
    assert answer["tolerance"] == pytest.approx(0.0099)


def test_a_person_reads_the_advice_and_lines_fit():
    text = printed(f"bench:{SMALL},kelvin=3200,dial=5600", dial="5600", spot="0.5,0.5,40")
    assert "Dial 3200 K (now 5600 K)" in text
    assert "full CTB" in text
    assert max(len(line) for line in text.splitlines()) <= 80


def test_a_tint_without_a_dial():
    with pytest.raises(ArgumentError, match="--tint"):
        printed(f"bench:{SMALL}", tint="3")
