"""What a person reads of a chart in the terminal."""

from types import SimpleNamespace

import pytest

from firmware.instruments.chart.lines import _patch
from overlays.wording.reasons import Reason
from tests.asking import printed

BENCH = "bench:size=960x540,signal=yuv444-10"


@pytest.fixture(autouse=True)
def eighty_columns(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")


def test_a_table_that_fits():
    text = printed("chart", feed=BENCH)
    assert "5PB 5/8" in text
    assert "Mean ΔE00 0." in text
    assert "Greys from light to dark, stops off: " in text
    assert "L*a*b* under D65, scaled to the neutrals" in text
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "−" not in text  # a terminal's minus is a hyphen


def test_clipped_patches_have_no_number():
    text = printed("chart", feed=f"{BENCH},exposure=0.7")
    (row,) = [line for line in text.splitlines() if line.startswith("N9.5")]
    assert row.split()[1] == "clipped"
    assert len(row.split()) == 5  # its name, that, and what it should be
    assert "Note: clipped" in text
    assert "stops off: clipped" in text


def test_two_looks():
    pale = f"{BENCH},gamut=V-Gamut"
    text = printed("chart", feed=BENCH, against=pale, gamut="BT.709")
    assert text.startswith("First: ")
    assert "saturation ×" in text
    assert "Mean ΔE00 between the two: " in text
    assert text.count("the feed says its gamut is V-Gamut") == 1
    assert max(len(line) for line in text.splitlines()) <= 80


@pytest.mark.parametrize("why", Reason)
def test_a_patch_without_a_colour_says_its_own_reason(why):
    patch = SimpleNamespace(
        name="N2", why=why, de00=None, de00_pm=None, hue_error_deg=None, chroma_ratio=None,
        lab=None, reference_lab=(20.0, 0.0, 0.0),
    )  # fmt: skip
    assert _patch(patch)[:2] == ("N2", why.words)


def test_what_few_patches_say_is_said_to_be_of_few():
    # Of a chart with two patches left it was "Mean ΔE00 0.0, worst N2 0.0" and "0.00 ± ? st".
    text = printed("chart", feed=f"{BENCH},exposure=2.5")
    assert "Mean ΔE00 0.0 of the 2 of 24 patches that can be read, worst N" in text
    assert "Evenness of the light: 0.00 st (too few patches to say how surely) across" in text
    assert "off from the lightest to the darkest patch that can be read" in text


def test_a_cast_that_was_taken_out_is_said():
    # A camera dialled to 5600 K under 4300 K: red and blue as `midgrey balance` reads them there.
    text = " ".join(printed("chart", feed=f"{BENCH},kelvin=4300,exposure=-0.5").split())
    assert "taken out before colours are compared: red +0.32 st, blue -0.4" in text
    plain = " ".join(printed("chart", feed=BENCH).split())
    assert "red 0.00 st, blue 0.00 st against green" in plain
