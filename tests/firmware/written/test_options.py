import dataclasses
from typing import Any, get_args, get_type_hints

import pytest

from firmware.written.declared import Argument, Option
from firmware.written.options import FrameOptions, JsonOption, ReadOptions, RunOptions

KINDS = (FrameOptions, JsonOption, ReadOptions, RunOptions)


def declared(kind):
    hints = get_type_hints(kind, include_extras=True)
    return {name: get_args(hint)[1] for name, hint in hints.items()}


def test_a_feed_is_enough():
    options = FrameOptions(feed="bench")
    assert options.feed == "bench"
    assert options.profile is None
    assert options.frame == 0
    assert not options.json
    with pytest.raises(dataclasses.FrozenInstanceError):
        options.feed = "other"  # type: ignore[misc]


def test_a_run_needs_not_even_that():
    options = RunOptions()
    assert options.feed is None
    assert (options.curve, options.carriage, options.range, options.matrix) == (None,) * 4
    assert options.frames is None


def test_options_are_given_by_name_alone():
    kind: Any = FrameOptions  # Any: mypy refuses the wrong call too
    with pytest.raises(TypeError):
        kind("bench")


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_says_what_it_is(kind):
    found = declared(kind)
    assert set(found) == {field.name for field in dataclasses.fields(kind)}
    for each in found.values():
        assert isinstance(each, Argument | Option)
        assert each.words
        assert not each.words.endswith(".")


@pytest.mark.parametrize("kind", KINDS)
def test_flags_are_each_ones_own(kind):
    flags = [each.flag for each in declared(kind).values() if isinstance(each, Option)]
    assert len(flags) == len(set(flags))
    assert all(flag.startswith("--") for flag in flags)
