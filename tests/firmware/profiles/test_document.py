import math

import pytest
from pydantic import ValidationError

from firmware.profiles.document import Document, StripeTable
from overlays.measure.counting.bands import Band, BandKind, around
from overlays.signal.levels import Carriage
from overlays.signal.quantities import percent, stops
from overlays.signal.signal import Matrix, Range


def test_a_published_curve_by_any_of_its_spellings():
    assert Document.model_validate({"curve": "v-log"}).transfer.name == "V-Log"


def test_carriage_and_signal_are_words():
    document = Document.model_validate(
        {
            "curve": "HLG",
            "carriage": "narrow",
            "signal": {"range": "full", "matrix": "BT.2020"},
        }
    )
    assert document.carriage is Carriage.NARROW
    assert (document.signal.range, document.signal.matrix) == (Range.FULL, Matrix.BT2020)


def test_custom_curve_by_the_log_parameters_of_the_common_lut_format():
    # S-Log3 written with the parameters of ../shared/facts/clf.csv must be the published curve.
    table = {
        "name": "by parameters",
        "base": 10.0,
        "log_side_slope": 261.5 / 1023.0,
        "log_side_offset": (420.0 - 261.5 * -0.721246399047) / 1023.0,
        "lin_side_slope": 1,
        "lin_side_offset": 0.01,
        "lin_side_break": 0.01125,
        "linear_slope": (171.2102946929 - 95.0) / 0.01125 / 1023.0,
    }
    custom = Document.model_validate({"curve": table}).transfer
    published = Document.model_validate({"curve": "S-Log3"}).transfer
    for light in (-0.01, 0.0, 0.005, 0.18, 0.9, 20.0):
        assert custom.encode(light) == pytest.approx(published.encode(light), abs=1e-9)
    assert custom.name == "by parameters"


def test_what_a_custom_curve_leaves_out_is_what_the_common_lut_format_takes():
    # Common LUT Format (SMPTE ST 2136-1:2024, from memory), LogParams: base 2, slopes 1, offsets 0.
    plain = Document.model_validate({"curve": {"name": "plain"}}).transfer
    for light, value in ((0.25, -2.0), (1.0, 0.0), (2.0, 1.0), (3.0, math.log2(3.0))):
        assert plain.encode(light) == pytest.approx(value, abs=1e-12)


def test_custom_curve_lies_as_the_profile_says():
    table = {"name": "x", "base": 10, "lin_side_offset": 0.01}
    narrow = Document.model_validate({"curve": table, "carriage": "narrow"}).transfer
    assert narrow.carriage is Carriage.NARROW


@pytest.mark.parametrize(
    ("entry", "band"),
    [
        ({"at": "0 st", "within": "0.2 st"}, around(stops(0), stops(0.2))),
        ({"above": "95 %"}, Band(BandKind.ABOVE, percent(95))),
        ({"below": "-6 st"}, Band(BandKind.BELOW, stops(-6))),
    ],
)
def test_the_three_forms_of_a_stripe(entry, band):
    assert StripeTable.model_validate(entry).band == band


@pytest.mark.parametrize(
    "entry",
    [
        {},
        {"within": "0.2 st"},
        {"at": "0 st"},
        {"at": "0 st", "within": "0 st"},
        {"at": "0 st", "within": "-0.2 st"},
        {"at": "0 st", "within": "2 %"},
        {"above": "95 %", "below": "2 %"},
        {"at": "0 st", "above": "2 %"},
        {"above": "95 %", "within": "1 %"},
    ],
)
def test_stripes_that_are_no_band(entry):
    with pytest.raises(ValidationError):
        StripeTable.model_validate(entry)


def test_a_document_does_not_change():
    document = Document.model_validate({"curve": "HLG"})
    with pytest.raises(ValidationError):
        document.title = "other"  # type: ignore[misc]
