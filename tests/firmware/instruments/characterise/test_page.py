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
