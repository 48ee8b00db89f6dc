"""What is said of an exposure; that advice is followed on the bench is walked through elsewhere."""

from dataclasses import replace

import numpy as np
import pytest

from firmware.instruments.advice.answer import REMEDIES
from firmware.instruments.advice.instrument import Advice
from firmware.instruments.advice.report import advice_report
from firmware.profiles.camera_controls import Camera, Limits
from firmware.profiles.shelf import load_profile
from overlays.draw.moment.report import Tone
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.quantities import percent, stops
from overlays.wording.numbers import UNKNOWN
from overlays.wording.reasons import Reason
from tests.colour_frames import card

KIT = replace(
    load_profile("log-v"),
    clip=stops(6.0),
    camera=Camera(25.0, iso=Limits("800", "400", "1600"), aperture=Limits("4", "2.8", "8")),
)
ADVICE = Advice()


@pytest.fixture
def reported(lit):
    def made(light, profile=KIT, **how):
        scene = lit(card([light] * 3), profile=profile, **how)
        return advice_report(ADVICE.measure(scene, ADVICE.settings(profile, 25.0), None))

    return made


def test_a_stop_too_bright_is_said_with_the_move_and_every_control(reported):
    report = reported(0.36)
    assert report.heading == "spot against 0 st"
    assert float(report.main) == pytest.approx(1.0, abs=0.02)
    assert report.beside.endswith("too bright")
    assert report.words.startswith("close to f/5.6")
    assert [row.label for row in report.rows] == [
        "f/4",
        "ISO 800",
        "then brightest",
        "then darkest",
    ]
    assert [row.is_chosen for row in report.rows] == [True, False, False, False]
    assert report.rows[0].value.startswith("to f/5.6, rest ")


@pytest.mark.parametrize(("spot", "clips"), [(0.18, False), (0.045, True)])
def test_what_would_clip_is_alarming(lit, spot, clips):
    """A window 5 stops above mid-grey, where the clip is at 6: two stops more are too many."""
    light = np.full((96, 160, 3), spot)
    light[:, :60] = 0.18 * 2.0**5
    scene = lit(light, spot=SpotPlace(120, 48, 24), profile=KIT)
    report = advice_report(ADVICE.measure(scene, ADVICE.settings(KIT, 25.0), None))
    assert ("then brightest" in [row.label for row in report.rows]) == clips
    if clips:  # where nothing is to be moved the extremes of now stand beside it
        brightest, darkest = report.rows[-2:]
        assert brightest.tone is Tone.ALARM
        assert darkest.tone is Tone.PLAIN


def test_a_clipped_spot_has_no_number_and_no_rows(reported):
    # 6 stops above 0.18 is 11.5: the profile's clip.
    report = reported(14.0)
    assert (report.main, report.words, report.tone) == (
        UNKNOWN,
        REMEDIES[Reason.CLIPPED],
        Tone.ALARM,
    )
    assert report.rows == ()


def test_a_spot_without_light_or_that_cannot_be_read_says_why(reported):
    dark = reported(0.0)
    assert (dark.main, dark.words, dark.tone) == (UNKNOWN, REMEDIES[Reason.NO_LIGHT], Tone.PLAIN)


def test_a_target_that_no_light_reaches_is_not_called_dark(reported):
    far = replace(KIT, target=percent(2.0))
    assert reported(0.18, far).words == REMEDIES[Reason.OUT_OF_REACH]


def test_a_spot_that_cannot_be_read_says_so(lit):
    scene = replace(lit(card([0.18] * 3), profile=KIT), spot=None)
    report = advice_report(ADVICE.measure(scene, ADVICE.settings(KIT, 25.0), None))
    assert (report.main, report.words) == (UNKNOWN, REMEDIES[Reason.NOT_READ])
    assert report.rows == ()


def test_without_extremes_there_is_no_forecast_and_the_move_stays(reported):
    report = reported(0.36, range=None)
    assert [row.label for row in report.rows] == ["f/4", "ISO 800"]
    assert report.words.startswith("close to f/5.6")


def test_a_target_below_mid_grey_has_a_true_minus(reported):
    below = replace(KIT, target=stops(-1.0))
    assert reported(0.09, below).heading == "spot against −1 st"
    assert reported(0.09, below).words.startswith("leave it")
