import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ProfileError
from firmware.profiles.model import USUAL_SPECK_PERCENT, USUAL_SPOT_PERCENT
from firmware.profiles.reader import read_profile
from overlays.measure.counting.bands import BandKind
from overlays.signal.levels import Carriage
from overlays.signal.quantities import percent, stops
from overlays.signal.signal import Matrix, Range, SignalOverride


@pytest.fixture
def write(tmp_path):
    def make(text, name="kit.toml"):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return make


def report(path):
    with pytest.raises(ProfileError) as fault:
        read_profile(path)
    return str(fault.value).replace(str(path), path.name).splitlines()


def test_everything_a_profile_can_say(write):
    profile = read_profile(
        write(
            """title = "B camera"
            notes = "loaned"
            curve = "V-Log"
            carriage = "narrow"
            target = "42 %"
            clip = "+5.0 st"
            floor = "−6 st"
            spot = "6 %"
            speck = "0.1 %"
            stripes = [{at = "0 st", within = "0.2st"}, {above = "85 %"}, {below = "10 %"}]
            [signal]
            range = "full"
            matrix = "BT.601"
            """
        )
    )
    assert (profile.name, profile.title, profile.notes) == ("kit", "B camera", "loaned")
    assert profile.curve.name == "V-Log"
    assert profile.carriage is Carriage.NARROW
    assert profile.override == SignalOverride(Range.FULL, Matrix.BT601)
    assert (profile.target, profile.clip, profile.floor) == (percent(42), stops(5), stops(-6))
    assert (profile.spot_percent, profile.speck_percent) == (6.0, 0.1)
    assert [s.kind for s in profile.stripes] == [
        BandKind.AROUND,
        BandKind.ABOVE,
        BandKind.BELOW,
    ]
    assert profile.source_path is not None
    assert profile.source_path.name == "kit.toml"


def test_what_a_profile_does_not_say_has_its_usual_value(write):
    profile = read_profile(write('curve = "HLG"'))
    assert (profile.title, profile.target, profile.clip, profile.floor) == (
        "kit",
        stops(0),
        None,
        None,
    )
    assert profile.carriage is None
    assert (profile.spot_percent, profile.speck_percent) == (
        USUAL_SPOT_PERCENT,
        USUAL_SPECK_PERCENT,
    )


def test_all_mistakes_in_one_report_with_their_lines(write):
    lines = report(
        write(
            """title = 3
zebra = 1
curve = "V-Log"
clip = "+20 st"
stripes = [
    {at = "0 st"},
    {above = "2 %"},
    {below = "95 %"},
]
[signal]
rnge = "full"
"""
        )
    )
    assert [line.split(": ")[:2] for line in lines] == [
        ["kit.toml:1", "title"],
        ["kit.toml:2", "zebra"],
        ["kit.toml:4", "clip"],
        ["kit.toml:6", "stripes[1]"],
        ["kit.toml:7", "stripes[2]"],
        ["kit.toml:11", "signal.rnge"],
    ]
    assert "stripes[3]" in lines[4]


def test_levels_are_checked_beside_other_mistakes_only_where_the_curve_is_known(write):
    (line,) = report(write('curve = "nonesuch"\nclip = "+20 st"\n'))
    assert "unknown curve 'nonesuch'" in line


def test_an_impossible_band(write):
    (line,) = report(write('curve = "BT.709"\nstripes = [{at = "0 st", within = "0.0001 st"}]'))
    assert line.startswith("kit.toml:2: stripes[1]: the band 0 st ± 0.0001 st holds no code")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('title = "x\n', "line 1, column 11: not TOML (the line ends inside a text"),
        ('curve = "HLG"\nclip = +6 st\n', "line 2, column"),
        ("curve", "line 1, at the end: not TOML"),
        ('curve = "HLG"\ncurve = "PQ"\n', ":2: curve is given twice, first in line 1"),
        ("a = " + "[" * 5000, "not TOML"),
        ("a = " + "1" * 5000, "not TOML"),
        (b'curve = "HLG"\ntitle = "\xff"\n', "kit.toml:2: is not UTF-8 text"),
        (b"\0" * 300_000, "larger than a profile can be"),
    ],
)
def test_what_is_no_toml_is_said_in_one_line(write, text, words):
    (line,) = report(write(text))
    assert words in line


def test_a_byte_order_mark_does_no_harm(write):
    assert read_profile(write(b'\xef\xbb\xbfcurve = "HLG"\r\n')).curve.name == "HLG"


def test_a_missing_file_and_a_folder(tmp_path):
    assert "no such file" in report(tmp_path / "none.toml")[0]
    folder = tmp_path / "folder.toml"
    folder.mkdir()
    assert "cannot be read" in report(folder)[0]


TOML_BITS = st.sampled_from(
    ["curve", "clip", "stripes", "[signal]", "=", '"HLG"', '"2 %"', "{", "}", "[", "]", "\n", "at"]
)


@given(st.lists(TOML_BITS, max_size=12))
def test_no_text_does_worse_than_a_report(tmp_path_factory, bits):
    path = tmp_path_factory.getbasetemp() / "any.toml"
    path.write_text(" ".join(bits))
    with contextlib.suppress(ProfileError):
        assert read_profile(path).name == "any"


def test_what_still_counts_as_there_is_a_third_of_a_stop_unless_the_file_says(write):
    assert read_profile(write('curve = "HLG"')).goal.within_stops == pytest.approx(1 / 3)
    made = read_profile(write('curve = "HLG"\ntarget = "-1 st"\ntarget_within = "0.2 st"'))
    assert (made.goal.target.number, made.goal.within_stops) == (-1.0, 0.2)
    with pytest.raises(ProfileError, match="target_within: '5 %' is no tolerance"):
        read_profile(write('curve = "HLG"\ntarget_within = "5 %"'))


def test_how_many_cores_share_the_work_is_left_to_the_machine_unless_the_file_says(write):
    assert read_profile(write('curve = "HLG"')).workers is None
    assert read_profile(write('curve = "HLG"\nworkers = 1')).workers == 1
    for wrong in ("0", "17", '"two"', "1.5", "true"):
        with pytest.raises(ProfileError, match="workers"):
            read_profile(write(f'curve = "HLG"\nworkers = {wrong}'))
