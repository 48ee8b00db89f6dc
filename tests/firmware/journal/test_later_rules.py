"""Rows of before that later rules read otherwise: what is left to their seals, and what is not."""

from dataclasses import replace

import pytest

from firmware.instruments.registry import REGISTRY
from firmware.journal.later_rules import OF_ANSWER, as_said_then
from firmware.journal.row import OTHER_RULES, SCHEMA
from firmware.journal.verify import examined
from tests.marked import SMALL, mark

STORED = {"ratios": [{"pm": 0.01, "stops": 1.0}], "within": 0.2}
AGAIN = {"ratios": [{"pm": 0.02, "stops": 1.0}], "within": 0.2}


def test_what_is_otherwise_by_later_rules_is_named_and_all_else_stays():
    pairs, names = as_said_then([(STORED, AGAIN, "pins"), ("a", "b", "words")], "pins")
    assert names == ("pins.ratios.pm",)
    ((stored, again, where),) = pairs  # words rest on it
    assert where == "pins"
    assert stored == again == {"ratios": [{"stops": 1.0}], "within": 0.2}


def test_where_nothing_is_otherwise_nothing_is_left_out():
    pairs = [(STORED, STORED, "pins"), ("a", "b", "words")]
    assert as_said_then(pairs, "pins") == (pairs, ())
    other = [(STORED, AGAIN, "chart")]
    assert as_said_then(other, "chart") == (other, ())


def test_every_instrument_that_it_names_is_one():
    assert set(OF_ANSWER) <= {line.instrument.name for line in REGISTRY.lines}


@pytest.mark.parametrize(("schema", "is_left"), [(OTHER_RULES, True), (SCHEMA, False)])
def test_a_half_width_by_other_rules_is_left_to_the_seal_of_rows_that_have_it(schema, is_left):
    row = mark(SMALL, "pins")
    ratios = [{**each, "pm": 0.5 * each["pm"]} for each in row.body["answer"]["ratios"]]
    answer = {**row.body["answer"], "ratios": ratios}
    found = examined(replace(row, body={**row.body, "answer": answer, "schema": schema}))
    assert ("pins.ratios.pm" in found.withdrawn) is is_left
    assert bool(found.faults) is not is_left


def test_a_spot_that_was_a_bound_is_left_to_the_seal_with_all_that_is_made_of_it():
    stored = {"spots": [{"at_most": True, "stops": -11.9, "percent": 0.1}]}
    again = {"spots": [{"at_most": True, "stops": -9.8, "percent": 0.1}]}
    pairs, names = as_said_then([(stored, again, ""), ({"off": 1}, {"off": 2}, "chips")], "chips")
    assert names == ("spots.stops",)
    ((one, other, where),) = pairs
    assert where == ""
    assert one == other == {"spots": [{"at_most": True, "percent": 0.1}]}


@pytest.mark.parametrize("schema", [OTHER_RULES, SCHEMA])
def test_a_reading_that_was_altered_is_found_whatever_rules_it_is_of(schema):
    row = mark(SMALL, "pins")
    spots = [{**each, "stops": each["stops"] + 0.01} for each in row.body["read"]["spots"]]
    body = {**row.body, "read": {**row.body["read"], "spots": spots}, "schema": schema}
    assert any("stops" in each for each in examined(replace(row, body=body)).faults)
