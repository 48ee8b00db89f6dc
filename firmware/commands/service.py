"""A unit that nobody sits at comes up whatever it was told, and says what it could not follow.

A command that ends with a sentence is right in a terminal. Of a unit it would be a dark screen that
is started again for ever, with the sentence in a log that nobody reads.
"""

import os
from collections.abc import Callable, Mapping, MutableMapping
from dataclasses import fields, replace
from typing import TextIO

import typer

from firmware.errors import FirmwareError
from firmware.feeds.address import shown
from firmware.live.run_plan import RunPlan
from firmware.opening.overrides import Overrides
from firmware.opening.profile_choice import asked_profile
from firmware.profiles.shelf import USUAL
from firmware.written.options import RunOptions
from overlays.errors import OverlayError

SERVICE = "NOTIFY_SOCKET"
"""Variable of the environment by which systemd tells a service where to report."""
FEED = "MIDGREY_FEED"
"""Variable of the unit's settings that names its feed."""
REFUSED = "MIDGREY_REFUSED"
"""Variable by which a command line that could not be parsed is handed on within the process."""

# Typer brings its own click in new releases and uses the library in older ones; this is either's.
USAGE_ERROR: type[Exception] = typer.BadParameter.__bases__[0]

PlanOf = Callable[[RunOptions, Mapping[str, str]], RunPlan]


def run_as_service(
    app: Callable[..., object], environ: MutableMapping[str, str] = os.environ
) -> int:
    """Run the command line; where it cannot be parsed, run on the feed alone. The exit status."""
    try:
        return _status(app(standalone_mode=False))
    except USAGE_ERROR as fault:
        said = getattr(fault, "format_message", None)
        environ[REFUSED] = str(fault) if said is None else str(said())
    feed = environ.get(FEED, "")
    return _status(app(args=["run", *([feed] if feed else [])], standalone_mode=False))


def _status(given: object) -> int:
    return given if isinstance(given, int) else 0


def plan_in_service(options: RunOptions, environ: Mapping[str, str], plan_of: PlanOf) -> RunPlan:
    """The options as far as they can be followed; what of them cannot stands in `wrong`.

    Without a profile that can be read it is the standard one.
    """
    wrong: list[str] = []
    if environ.get(REFUSED):
        wrong.append(environ[REFUSED])
    kept = RunOptions()
    try:
        plan_of(kept, environ)
    except FirmwareError as fault:  # a setting of the environment
        wrong.append(str(fault))
        environ = {}
    for field in fields(RunOptions):
        more = replace(kept, **{field.name: getattr(options, field.name)})
        try:
            plan_of(more, environ)
            kept = more
        except (FirmwareError, OverlayError) as fault:
            wrong.append(str(fault))
    plan = plan_of(kept, environ)
    try:
        asked_profile(plan.profile, plan.overrides)
    except (FirmwareError, OverlayError) as fault:
        wrong += str(fault).splitlines()
        plan = replace(plan, profile=USUAL, overrides=Overrides())
    if wrong and plan.profile is None and plan.overrides.curve is None:
        plan = replace(plan, profile=USUAL)
    return replace(plan, wrong=tuple(_said(each, plan.profile) for each in wrong))


def _said(fault: str, profile: str | None) -> str:
    used = f", so the profile {profile} is used" if profile == USUAL else ""
    return f"MIDGREY_OPTIONS cannot be followed{used}: {shown(fault)}"


def say(plan: RunPlan, err: TextIO) -> None:
    """Say for the log what could not be followed."""
    for each in plan.wrong:
        print(f"midgrey: {each}", file=err, flush=True)
