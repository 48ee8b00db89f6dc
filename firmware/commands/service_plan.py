"""A unit's options as far as they can be followed, and what is said of those that cannot."""

from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from typing import TextIO

from firmware.commands.service import REFUSED
from firmware.errors import FirmwareError
from firmware.feeds.address import shown
from firmware.live.run_plan import RunPlan
from firmware.opening.overrides import Overrides
from firmware.opening.profile_choice import asked_profile
from firmware.profiles.shelf import USUAL
from firmware.written.options import RunOptions
from overlays.errors import OverlayError

PlanOf = Callable[[RunOptions, Mapping[str, str]], RunPlan]


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
