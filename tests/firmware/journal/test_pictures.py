import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from firmware.journal.pictures import TimeMark, chroma_svg, still_svg, time_svg, trace_svg
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal

YARD = yardstick(Signal(10), published_curve("V-Log"))


def parsed(text):
    return ET.fromstring(text)


def labels(text):
    return [each.text for each in parsed(text).iter("text")]


def test_the_trace_has_its_levels_at_both_sides_where_they_lie():
    text = trace_svg(np.full((4, 8), 9, np.uint8), YARD)
    said = labels(text)
    assert {"0 %", "50 %", "100 %", "0 st", "clip"} <= set(said)
    at = {each.text: float(each.get("y")) for each in parsed(text).iter("text")}
    # V-Log puts mid-grey at 433 of 10 bits, 42 % (V-Log/V-Gamut reference manual): between these.
    assert at["50 %"] < at["0 st"] < at["25 %"]
    assert at["clip"] < at["100 %"] < at["0 %"]


def test_there_is_as_much_room_beside_the_trace_at_the_right_as_at_the_left():
    made = parsed(trace_svg(np.full((4, 8), 9, np.uint8), YARD))
    left, _, wide, _ = (float(each) for each in made.get("viewBox").split())
    (image,) = [each for each in made if each.tag.endswith("image")]
    at, size = (float(image.get(name)) for name in ("x", "width"))
    assert at - left == left + wide - (at + size) > 20.0


@pytest.mark.parametrize("range_", [Range.LIMITED, Range.FULL])
def test_the_bars_stand_where_their_codes_are(range_):
    text = chroma_svg(np.zeros((128, 128), np.uint8), Signal(8, range_))
    assert labels(text) == ["R", "Mg", "B", "Cy", "G", "Yl"]
    rings = [(float(c.get("cx")), float(c.get("cy"))) for c in parsed(text).iter("circle")]
    middle = 226 * 128.5 / 256
    red, blue = rings[0], rings[2]
    assert red[1] < middle < blue[1]  # red is up (+Cr), blue to the right (+Cb)
    assert red[0] < middle < blue[0]
    if range_ is Range.LIMITED:
        # 75 % red: Cb = (B' - Y') / 1.8556, Cr = (R' - Y') / 1.5748 (ITU-R BT.709-6 item 3.3),
        # codes 224 C' + 128 (item 3.4).
        cb, cr = -0.75 * 0.2126 / 1.8556, 0.75 * (1 - 0.2126) / 1.5748
        assert red[0] * 256 / 226 - 0.5 == pytest.approx(128 + 224 * cb, abs=0.2)
        assert 256 - red[1] * 256 / 226 - 0.5 == pytest.approx(128 + 224 * cr, abs=0.2)


def test_the_name_of_a_bar_begins_at_the_right_of_its_ring_and_lies_on_no_ring():
    drawn = parsed(chroma_svg(np.zeros((128, 128), np.uint8), Signal(8, Range.LIMITED)))
    rings = [(float(c.get("cx")), float(c.get("r"))) for c in drawn.iter("circle")]
    names = [float(text.get("x")) for text in drawn.iter("text")]
    assert len(rings) == len(names) == 6
    assert all(
        radius < name - x < 3.0 * radius for (x, radius), name in zip(rings, names, strict=True)
    )


def test_spots_lie_on_the_still_in_pixels_of_the_picture():
    text = still_svg(
        b"\xff\xd8\xff",
        (1920, 1080),
        [("spot", SpotPlace(100, 60, 48)), ("<1", SpotPlace(9, 9, 2))],
    )
    boxes = {(r.get("x"), r.get("y"), r.get("width")) for r in parsed(text).iter("rect")}
    assert ("76", "36", "48") in boxes
    assert labels(text) == ["spot", "<1"]


def test_a_time_line_has_marks_above_and_what_happened_below():
    marks = [
        TimeMark(0.0, "#1", False),
        TimeMark(0.5, "drift", True),
        TimeMark(0.501, "step", True),
    ]
    text = time_svg(marks, "07:30:00", "08:00:00")
    ways = [each.get("d") for each in parsed(text).iter("path")][1:]
    tips = [float(re.search(r"V([\d.]+)", way)[1]) for way in ways]
    assert tips[0] < 40.0 < tips[1]
    # Of two that lie on each other one has its word here; both stand in the table.
    assert labels(text) == ["#1", "drift", "07:30:00", "08:00:00"]


def test_names_on_a_still_are_as_large_on_a_large_one():
    """A picture of twice the pixels is shown as large: its lines and letters are twice as many."""
    small, large = (
        parsed(still_svg(b"", (480 * n, 270 * n), [("spot", SpotPlace(100 * n, 90 * n, 20 * n))]))
        for n in (1, 2)
    )
    for tag, name in (("text", "font-size"), ("text", "stroke-width"), ("rect", "stroke-width")):
        one, two = ([float(each.get(name)) for each in made.iter(tag)] for made in (small, large))
        assert two == pytest.approx([2.0 * each for each in one], rel=0.01)
    (text,) = small.iter("text")
    assert float(text.get("font-size")) == 15.0
