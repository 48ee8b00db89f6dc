import io
import json

import pytest

from firmware.clock import HandClock
from firmware.commands.once import answer
from firmware.errors import FeedNotFoundError
from firmware.instruments.registry import REGISTRY

(READ,) = [each for each in REGISTRY.commands() if each.name == "read"]


def out_of(**options):
    out = io.StringIO()
    answer(READ, READ.options(**options), HandClock(), out)
    return out.getvalue()


def test_an_object_or_lines():
    assert json.loads(out_of(feed="bench:size=320x180", json=True))["schema"] == 1
    assert out_of(feed="bench:size=320x180").startswith("bench:size=320x180 (simulated), frame 0")


def test_what_cannot_be_had_is_raised_and_nothing_is_printed():
    out = io.StringIO()
    with pytest.raises(FeedNotFoundError):
        answer(READ, READ.options(feed="gone.mov"), HandClock(), out)
    assert out.getvalue() == ""
