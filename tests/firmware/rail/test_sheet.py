"""Every label of the rail at once."""

from dataclasses import replace

import pytest

from firmware.actions import Press
from firmware.instruments.registry import REGISTRY
from firmware.live.railing import now_of
from firmware.rail.pages import FIRST
from firmware.rail.sheet import NOT_HERE, first_page, sheets
from firmware.rail.tree import page
from tests.firmware.live.test_remembered import start


def now(view):
    return now_of(replace(start(), view=view))


@pytest.mark.parametrize("view", REGISTRY.views(), ids=lambda view: view.name)
def test_each_press_stands_in_one_list_once(view):
    found = [press for sheet in sheets(now(view)) for _, press in sheet.entries]
    assert len(found) == len(set(found))
    assert not NOT_HERE & set(found)
    labels = [label for sheet in sheets(now(view)) for label, _ in sheet.entries]
    assert all(labels)


def test_everything_that_can_be_pressed_stands_somewhere():
    found = {
        press
        for view in REGISTRY.views()
        if view.name in {"expose", "picture"}
        for sheet in sheets(now(view))
        for _, press in sheet.entries
    }
    assert set(Press) - NOT_HERE - found == set()


@pytest.mark.parametrize("view", REGISTRY.views(), ids=lambda view: view.name)
def test_no_two_labels_of_a_list_are_the_same(view):
    for sheet in sheets(now(view)):
        labels = [label for label, _ in sheet.entries]
        assert len(labels) == len(set(labels)), sheet.title


def test_the_first_page_is_that_of_the_rail():
    there = now(REGISTRY.view("expose"))
    assert first_page(there) == page(FIRST, there)
