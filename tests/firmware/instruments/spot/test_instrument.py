from fractions import Fraction

import av
import pytest

from firmware.errors import UnknownProfileError
from overlays.errors import SpotOutsideError
from tests import asking

BENCH = "bench:size=320x180"


def printed(feed=BENCH, **options):
    return asking.printed("read", feed=feed, **options)


def asked(**options):
    return asking.asked("read", feed=BENCH, **options)


@pytest.fixture(autouse=True)
def eighty_columns(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")


def test_json_is_one_object():
    found = asked(profile="log-v")
    assert found["schema"] == 1
    (spot,) = found["spots"]
    assert (spot["x"], spot["y"], spot["size"]) == (160, 90, 8)
    assert set(spot["truth"]) == {"percent", "stops"}


def test_the_frame_asked_for():
    assert asked(frame=4)["feed"]["frame"] == 4


def test_the_size_of_a_spot_is_the_profiles(tmp_path):
    path = tmp_path / "kit.toml"
    path.write_text('curve = "BT.709"\nspot = "20 %"\n')
    found = asked(profile=str(path))
    assert found["spots"][0]["size"] == 36


def test_a_table_has_the_main_number_first_and_its_pm_beside_it():
    text = printed(profile="log-v", at=("0.5,0.5", "40,40,8"))
    rows = [line for line in text.splitlines() if ": 160,90,8" in line]
    assert len(rows) == 1
    assert rows[0].split()[1].startswith("±")
    assert "2: 40,40,8" in text
    assert max(len(line) for line in text.splitlines()) <= 80


def test_warnings_stand_below_in_words():
    text = printed("bench:size=320x180,curve=HLG", profile="log-v")
    assert "Note: the feed says it carries HLG" in text


def test_a_clipped_spot_is_named_in_a_note():
    text = printed("bench:size=320x180,exposure=4", at=("0.5,0.5",))
    assert "Note: spot 1: " in text
    assert "clipped" in text


def test_names_in_brackets_are_no_markup(tmp_path):
    path = tmp_path / "[bold]kit.toml"
    path.write_text('curve = "HLG"\n')
    assert "[bold]kit" in printed(profile=str(path))


def test_what_cannot_be_read_is_raised():
    with pytest.raises(SpotOutsideError):
        printed(at=("1,1,48",))
    with pytest.raises(UnknownProfileError):
        printed(profile="nonesuch")


def test_overrides_reach_the_reading():
    found = asked(curve="PQ")
    assert found["profile"]["curve"] == "PQ"


def test_a_person_is_told_the_time_code_of_footage_that_has_one(tmp_path):
    for name, text in (("with.mov", "10:11:12:24"), ("without.mov", None)):
        with av.open(str(tmp_path / name), "w") as container:
            stream = container.add_stream("mpeg4", rate=25)
            stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
            if text is not None:
                stream.metadata["timecode"] = text
            frame = av.VideoFrame(64, 48, "yuv420p")
            for plane in frame.planes:
                plane.update(bytes([128]) * plane.buffer_size)
            for number in range(3):
                frame.pts, frame.time_base = number, Fraction(1, 25)
                container.mux(stream.encode(frame))
            container.mux(stream.encode(None))
    said = " ".join(printed(str(tmp_path / "with.mov"), frame=1).split())
    assert "frame 1 (10:11:13:00): 64x48" in said
    said = " ".join(printed(str(tmp_path / "without.mov"), frame=1).split())
    assert "frame 1: 64x48" in said
