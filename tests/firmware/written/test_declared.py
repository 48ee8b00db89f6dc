import dataclasses
from typing import Annotated, Any

import pytest

from firmware.written.declared import Argument, Command, Option, options
from firmware.written.options import JsonOption


@pytest.mark.parametrize(
    "declared",
    [
        Argument("FEED", "Where the picture comes from"),
        Option("--frame", "N", "Frame, from 0", least=0),
        Command("read", "Read spots.", JsonOption),
    ],
)
def test_declarations_are_plain_values(declared):
    assert declared == type(declared)(*declared)
    with pytest.raises(AttributeError):
        declared.words = "other"


def test_an_option_has_no_least_unless_it_is_a_number():
    assert Option("--profile", "P", "Name").least is None


@options
class Seeing:
    feed: str
    size: int = 3


@options
class SeeingMore(Seeing):
    """With a field more."""

    colour: Annotated[str | None, Option("--colour", "C", "Which")] = None


def test_options_are_frozen_dataclasses_that_take_names():
    seen = SeeingMore(feed="a", colour="red")
    assert dataclasses.astuple(seen) == ("a", 3, "red")
    assert dataclasses.replace(seen, size=4) == SeeingMore(feed="a", size=4, colour="red")
    assert repr(seen) == "SeeingMore(feed='a', size=3, colour='red')"
    for change in (lambda: setattr(seen, "size", 4), lambda: delattr(seen, "size")):
        with pytest.raises(dataclasses.FrozenInstanceError, match="size"):
            change()


def test_options_of_one_kind_and_content_are_the_same():
    assert Seeing(feed="a") == Seeing(size=3, feed="a")
    assert len({Seeing(feed="a"), Seeing(feed="a"), Seeing(feed="b")}) == 2
    assert Seeing(feed="a") != SeeingMore(feed="a")


@pytest.mark.parametrize("given", [{}, {"feed": "a", "sise": 4}])
def test_a_field_that_is_missing_or_unknown_is_named(given):
    kind: Any = Seeing  # Any: mypy refuses the wrong call too
    with pytest.raises(TypeError, match="sise" if given else "feed"):
        kind(**given)
