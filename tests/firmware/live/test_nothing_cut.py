"""Every view in every state with the longest true values: nothing is cut, hidden or left out."""

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.controls.keyboard import help_entries
from firmware.instruments.registry import REGISTRY
from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import Layout, layout
from overlays.draw.layout.lettering import Text
from overlays.draw.layout.panel_size import PanelSize
from overlays.draw.layout.theme import TEXT
from overlays.draw.moment.shown import Shown
from tests.laid import Line, Paper, faults, meeting, missing
from tests.moments import every_view
from tests.states import BRIGHT, CHIPS, DEEP, PLAIN, SIZES, TURNS, states

SMALL_MM, SHARP = 60.0, [(1024, 600), (1920, 1080), (720, 1280)]
"""So small that words are as large as there is room for, on screens where they grow by that."""


@pytest.mark.parametrize(
    ("feed", "profile"), [(DEEP, "standard"), (BRIGHT, "standard"), (PLAIN, None)]
)
def test_nothing_is_cut_or_missing_in_any_view_at_any_size(feed, profile):
    papers = [Paper(size) for size in SIZES]
    papers += [Paper(size, PanelSize(SMALL_MM)) for size in SHARP]
    found: list[str] = []
    views = set()

    def look(shown):
        known, every = shown.view.name in views, states(shown)
        views.add(shown.view.name)
        for paper in papers:
            for name, moment in {"live": shown}.items() if known else every.items():
                left = None
                for turn in range(TURNS):
                    made, lines = paper.lay(replace(moment, turn=turn))
                    where = f"{shown.view.name}, {name}, {made.screen.width}: "
                    found.extend(where + each for each in faults(made, lines))
                    hidden = set(missing(lines, moment))
                    left = hidden if left is None else left & hidden
                    if not left and not any("part " in line.text.words for line in lines):
                        break
                found.extend(f"{where}missing: {each!r}" for each in left)

    every_view(feed, profile, look, pins=CHIPS)
    assert views == {view.name for view in REGISTRY.views()}
    assert found == []


@pytest.mark.parametrize("size", SIZES)
def test_every_key_of_the_help_is_said_whole(size):
    seen: list[Shown] = []
    found: list[str] = []
    paper = Paper(size)
    every_view(PLAIN, None, seen.append, views=["expose"])
    said = ""
    for turn in range(TURNS):
        moment = replace(seen[0], help=help_entries(), turn=turn)
        made, lines = paper.lay(moment)
        laid = lines[-paper.of_help :]
        said += " " + " ".join(line.text.words for line in laid)
        found += faults(made, laid)
    assert found == []
    for label, words in help_entries():
        assert label in said
        assert all(word in said for word in words.split())


def line(words, left, top):
    return Line(Text(words, left, top, 15, TEXT), Area(left, top, 100, 20))


@pytest.mark.parametrize(
    ("lines", "fault"),
    [
        ([line("headroo…", 500, 20)], "cut"),
        ([line("one thing ·", 500, 20)], "a dot beside nothing"),
        ([line("far out", 750, 20)], "out of the screen"),
        ([line("one", 600, 20), line("other", 650, 25)], "one over the other"),
    ],
)
def test_what_is_wrong_is_found(lines, fault):
    made: Layout = layout(REGISTRY.view("expose"), (800, 480), (16, 9))
    (said,) = faults(made, lines)
    assert said.startswith(fault)


SOME = st.integers(-5, 30)


@given(st.lists(st.builds(Area, SOME, SOME, st.integers(0, 20), st.integers(0, 20)), max_size=8))
def test_areas_that_meet_are_found_pair_by_pair(areas):
    pairs = combinations(range(len(areas)), 2)
    assert meeting(areas) == [(n, m) for n, m in pairs if areas[n].meets(areas[m])]
