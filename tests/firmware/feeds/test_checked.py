import pytest

from firmware.errors import CheckedFileError
from firmware.feeds.checked import (
    FILE,
    Checked,
    checked_device,
    checked_devices,
    keep_checked,
)
from overlays.signal.signal import Matrix, Range, SignalOverride

STICK = 'usb 534d:2109 serial "7", MJPG'


@pytest.fixture
def environ(tmp_path):
    return {"XDG_CONFIG_HOME": str(tmp_path / "own"), "XDG_CONFIG_DIRS": str(tmp_path / "all")}


def test_what_is_kept_is_read_back_device_by_device(environ, tmp_path):
    full = Checked(SignalOverride(Range.FULL), "2026-11-27")
    twice = Checked(SignalOverride(Range.SQUEEZED_TWICE, Matrix.BT601), "2026-11-28")
    path = keep_checked(STICK, full, environ)
    assert path == tmp_path / "own" / "midgrey" / FILE
    keep_checked("unicam at platform:csi1, UYVY", twice, environ)
    assert checked_devices(environ) == {STICK: full, "unicam at platform:csi1, UYVY": twice}
    keep_checked(STICK, twice, environ)
    assert checked_device(STICK, environ) == twice
    assert checked_device("another", environ) is None


def test_ones_own_goes_over_what_is_kept_for_all(environ, tmp_path):
    for_all = tmp_path / "all" / "midgrey"
    for_all.mkdir(parents=True)
    (for_all / FILE).write_text('[one]\nrange = "full"\n[two]\nrange = "full"\n')
    keep_checked("one", Checked(SignalOverride(Range.LIMITED), "2026-11-27"), environ)
    found = checked_devices(environ)
    assert found["one"].signal.range is Range.LIMITED
    assert found["two"].signal.range is Range.FULL
    assert "not known" in found["two"].date


@pytest.mark.parametrize("text", ["[one", "one = 3\n", '[one]\nrange = "wide"\n', "\xff"])
def test_a_damaged_file_is_one_sentence_and_stops_no_feed(environ, tmp_path, text):
    folder = tmp_path / "own" / "midgrey"
    folder.mkdir(parents=True)
    (folder / FILE).write_bytes(text.encode("latin-1"))
    assert checked_device("one", environ) is None
    with pytest.raises(CheckedFileError, match="mend it or delete it"):
        checked_devices(environ)
    with pytest.raises(CheckedFileError):
        keep_checked("one", Checked(SignalOverride(Range.FULL), "2026-11-27"), environ)


def test_a_folder_that_cannot_be_written_is_one_sentence(tmp_path):
    (tmp_path / "own").write_text("a file where a folder should be")
    environ = {"XDG_CONFIG_HOME": str(tmp_path / "own")}
    with pytest.raises(CheckedFileError, match="cannot be written"):
        keep_checked("one", Checked(SignalOverride(Range.FULL), "2026-11-27"), environ)
