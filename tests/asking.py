"""Asks an instrument by its command, within this process: as an object, or as a person reads it."""

import io
import json

from firmware.clock import HandClock
from firmware.commands.once import answer
from firmware.instruments.registry import REGISTRY


def printed(command, clock=None, **options):
    """What a command prints."""
    (found,) = [each for each in REGISTRY.commands() if each.name == command]
    out = io.StringIO()
    answer(found, found.options(**options), clock or HandClock(), out)
    return out.getvalue()


def asked(command, clock=None, **options):
    """The object that it gives with --json."""
    return json.loads(printed(command, clock, json=True, **options))
