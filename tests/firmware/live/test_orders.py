"""Orders are what the state is set to."""

from dataclasses import replace

import pytest

from firmware.actions import Press
from firmware.live.orders import orders_of
from firmware.live.state import after, first_state
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from overlays.draw.layout.views import Readings, TraceKind
from tests import views


@pytest.fixture
def state(info):
    return first_state((load_profile("standard"), load_profile("hlg")), info(), views.EXPOSE)


@pytest.fixture
def orders_for(info):
    def made(state):
        return orders_of(state, read_with(state.in_use, info(), override=state.override))

    return made


@pytest.mark.parametrize("view", views.VIEWS)
def test_orders_carry_what_the_state_is_set_to(state, orders_for, view):
    made = replace(after(replace(state, view=view), Press.SET_PIN), held=True)
    orders = orders_for(made)
    assert (orders.view, orders.desk, orders.settings) == (view, made.desk, made.settings)
    assert len(orders.desk.pins) == 1
    assert (orders.place, orders.stripes, orders.held) == (made.spot, made.stripes, True)
    assert orders.read_with.profile == made.in_use


@pytest.mark.parametrize("view", views.VIEWS)
def test_the_trace_is_of_the_kind_chosen_where_a_view_has_both_and_of_luma_elsewhere(
    state, orders_for, view
):
    chosen = replace(state, view=view, trace=TraceKind.RGB)
    has_both = view.readings is Readings.BOTH
    assert orders_for(chosen).trace is (TraceKind.RGB if has_both else TraceKind.LUMA)


def test_there_are_views_of_both_kinds():
    assert {view.readings is Readings.BOTH for view in views.VIEWS} == {True, False}
