from xml.etree import ElementTree as ET

from firmware.instruments.characterise.page import plot


def test_a_plot_is_whole_svg_with_all_that_was_given():
    made = plot([(0.0, 1.0), (1.0, 2.0)], [(0.0, 1.0), (1.0, 2.0)], [(0.5, 1.5)])
    tree = ET.fromstring(made)
    assert sum(each.tag == "circle" for each in tree) == 2
    assert sum(each.tag == "polyline" for each in tree) == 1
    assert sum(each.tag == "path" for each in tree) == 1
    ET.fromstring(plot([]))
    ET.fromstring(plot([(1.0, 1.0)]))


def test_numbers_beside_a_plot_end_before_its_frame():
    tree = ET.fromstring(plot([(-4.1, -0.0468), (2.6, 0.00196)]))
    frame = next(float(each.get("x")) for each in tree if each.tag == "rect")
    beside = [each for each in tree if each.tag == "text" and float(each.get("x")) < frame]
    assert [each.text for each in beside] == ["-0.0468", "0.00196"]
    for each in beside:
        assert each.get("text-anchor") == "end"
        assert 7.0 * len(each.text) < float(each.get("x"))  # letters of 12 are some 7 wide
