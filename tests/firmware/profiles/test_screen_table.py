import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ProfileError, QuantityError
from firmware.profiles.reader import read_profile
from firmware.profiles.screen_table import LEAST, MOST, parse_ratio
from overlays.draw.layout.monitor import PLAIN, Monitor, ViewTransform
from overlays.draw.layout.panel_size import PanelSize


def profile(tmp_path, table):
    path = tmp_path / "own.toml"
    path.write_text(f'curve = "V-Log"\n\n[screen]\n{table}\n')
    return read_profile(path)


def test_a_whole_table_is_understood(tmp_path):
    table = """view = "as sent"
stop_map = true
flip = true
mirror = true
magnify = 4
desqueeze = 1.33
frames = [2.39, "16:9", "1.85:1"]
safe = "80 %"
centre = false
"""
    assert profile(tmp_path, table).monitor == Monitor(
        transform=ViewTransform.AS_SENT,
        stop_map=True,
        flipped=True,
        mirrored=True,
        times=4,
        factors=(1.33,),
        factor=0,
        ratios=(2.39, 16 / 9, 1.85),
        frame=0,
        safe_percent=80.0,
        centre=False,
    )


def test_a_profile_without_a_table_says_nothing_of_the_picture(tmp_path):
    assert profile(tmp_path, "").monitor == PLAIN
    path = tmp_path / "plain.toml"
    path.write_text('curve = "V-Log"\n')
    assert read_profile(path).monitor is None


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ('view = "nice"', "normal view"),
        ("desqueeze = 0", "desqueeze"),
        ("desqueeze = true", "desqueeze"),
        ('frames = ["16/9"]', 'write width over height, as 2.39 or "16:9"'),
        ("frames = [0]", "no ratio of a frame"),
        ("safe = 90", "has no unit"),
        ("flip = 1", "flip"),
        ("zoom = 2", "zoom"),
        ("magnify = 3", "write 1, 2 or 4"),
        ("magnify = true", "no magnification"),
        ('diagonal = "5.5"', 'write it with its unit, as "5.5 in"'),
        ("diagonal = 5.5", "with its unit"),
        ('diagonal = "5500 in"', "40 to 2500 mm"),
        ('distance = "1 cm"', "200 to 5000 mm"),
    ],
)
def test_a_mistake_is_one_line_with_its_place(tmp_path, table, words):
    with pytest.raises(ProfileError) as fault:
        profile(tmp_path, table)
    (line,) = str(fault.value).splitlines()
    assert line.startswith(f"{tmp_path}/own.toml:4: screen")
    assert words in line


@pytest.mark.parametrize(
    ("given_", "is_one"), [("1:4", True), ("1:4.1", False), (4, True), (4.1, False)]
)
def test_a_picture_is_at_most_four_times_as_wide_as_high_or_as_high_as_wide(given_, is_one):
    if is_one:
        assert parse_ratio(given_) in {0.25, 4.0}
        return
    with pytest.raises(QuantityError, match="width over height"):
        parse_ratio(given_)


@given(st.one_of(st.text(max_size=12), st.floats(), st.integers(), st.booleans(), st.none()))
def test_any_ratio_is_one_of_a_picture_or_refused(given_):
    try:
        ratio = parse_ratio(given_)
    except QuantityError as fault:
        said = str(fault)
    else:
        said = "" if LEAST <= ratio <= MOST else "out of bounds"
    assert said == "" or "width over height" in said


@pytest.mark.parametrize(
    ("table", "panel"),
    [
        ('diagonal = "5 in"', PanelSize(127.0)),
        ('diagonal = "12.7cm"\ndistance = "1.2 m"', PanelSize(127.0, 1200.0)),
        ('distance = "80 cm"', None),
    ],
)
def test_how_large_the_panel_is_may_be_said(tmp_path, table, panel):
    assert profile(tmp_path, table).monitor.panel == panel
