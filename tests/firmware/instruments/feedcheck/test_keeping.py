from dataclasses import replace

import numpy as np
import pytest

from firmware.errors import ArgumentError
from firmware.feeds.checked import checked_device
from firmware.instruments.feedcheck.judged_readings import judged
from firmware.instruments.feedcheck.keeping import keep_device, keep_profile
from firmware.profiles.reader import read_profile
from overlays.draw.moment.layers import PinFlags
from overlays.measure.feedcheck.readings import CodeReading, What
from overlays.signal.signal import Matrix, Range

NOVEMBER = 1_795_737_600.0
SQUEEZED = {
    # BT.709 on black 118.8 and 100 % 868.9 of 10 bits: a limited feed squeezed once more.
    What.CAP: CodeReading(118.8, 0.2),
    What.CARD: CodeReading(118.8 + 750.1 * 0.409, 0.2),
    What.CLIP: CodeReading(868.0, 1.0),
    What.WHITE: CodeReading(118.8 + 750.1 * 0.949, 0.3),
    What.DARK: CodeReading(118.8 + 750.1 * 0.0506, 0.3),
}


@pytest.fixture
def answer(lit):
    origin = lit(np.full((64, 64, 3), 0.18), profile="standard").origin
    info = replace(origin.info, device="usb 1:2 serial 3, YUYV")
    return judged(SQUEEZED, replace(origin, info=info), PinFlags(()))


def test_the_device_is_kept_by_its_identity_with_the_day(answer, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert "2026-11-27" in keep_device(answer, NOVEMBER)
    found = checked_device("usb 1:2 serial 3, YUYV")
    assert found is not None
    assert found.signal.range is Range.SQUEEZED
    assert found.signal.matrix is None  # greys do not say
    assert found.date == "2026-11-27"


def test_a_matrix_that_patches_decided_is_kept_with_the_range(answer, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    decided = replace(answer, matrix=Matrix.BT601)
    assert "matrix BT.601" in keep_device(decided, NOVEMBER)
    found = checked_device("usb 1:2 serial 3, YUYV")
    assert (found.signal.range, found.signal.matrix) == (Range.SQUEEZED, Matrix.BT601)
    keep_profile(decided, tmp_path / "mine.toml", NOVEMBER)
    assert read_profile(tmp_path / "mine.toml").override.matrix is Matrix.BT601


def test_a_profile_is_written_that_reads_it_rightly(answer, tmp_path):
    keep_profile(answer, tmp_path / "mine.toml", 0.0)
    found = read_profile(tmp_path / "mine.toml")
    assert found.curve.name == "BT.709"
    assert found.override.range is Range.SQUEEZED
    assert "not known" in found.notes
    assert found.clip is not None
    assert 99.0 < found.clip.number < 101.0


def test_nothing_is_written_of_what_is_not_certain(answer, tmp_path):
    tied = {what: SQUEEZED[what] for what in (What.CAP, What.CARD)}
    tied[What.CLIP] = CodeReading(800.0, 40.0)
    unsure = judged({**tied, What.CARD: CodeReading(425.0, 9.0)}, answer.origin, PinFlags(()))
    assert not unsure.check.is_certain
    with pytest.raises(ArgumentError, match="not certain"):
        keep_device(unsure, NOVEMBER)
    with pytest.raises(ArgumentError, match="not certain"):
        keep_profile(unsure, tmp_path / "a.toml", NOVEMBER)


def test_what_is_no_capture_device_has_nothing_to_be_kept_for(answer):
    file = replace(
        answer, origin=replace(answer.origin, info=replace(answer.origin.info, device=""))
    )
    with pytest.raises(ArgumentError, match="no capture device"):
        keep_device(file, NOVEMBER)
