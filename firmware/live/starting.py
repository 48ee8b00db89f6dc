"""What a run starts with: its profiles, and what is set while nobody has set anything."""

import math
from dataclasses import replace

from firmware.instruments.registry import REGISTRY, Registry
from firmware.live.locking import Locking
from firmware.live.run_plan import RunPlan
from firmware.live.set_as import aimed
from firmware.live.state import State, first_state
from firmware.live.stripe_steps import THIRD_STOP
from firmware.opening.session import Session
from firmware.profiles.model import NO_PROFILE, Profile
from firmware.profiles.shelf import shipped_profiles
from overlays.draw.layout.views import View
from overlays.measure.counting.bands import Band, BandKind, around
from overlays.signal.quantities import stops
from overlays.signal.signal import Signal

WHITE_STOPS = math.log2(0.9 / 0.18)
"""Of a white card of 90 % reflectance (common practice, no source) above mid-grey."""


def starting_state(
    session: Session,
    view: View,
    registry: Registry = REGISTRY,
    own: tuple[Profile, ...] = (),
    plan: RunPlan | None = None,
) -> State:
    """The state at the start: the profile the feed is read with, one's own, those that ship.

    `plan` may say another goal than the profiles do, and lock it.
    """
    profile, info = session.profile, session.feed.info
    every = (*own, *shipped_profiles())
    others = tuple(p for p in every if p.name.casefold() != profile.name.casefold())
    if profile.name == NO_PROFILE and not profile.stripes:
        signal = session.read_with().info.signal
        profile = replace(profile, stripes=usual_stripes(profile, signal))
    goal = (None, None) if plan is None else plan.goal
    made = first_state(
        tuple(aimed(each, *goal) for each in (profile, *others)),
        info,
        view,
        is_guess=session.is_guess,
        override=session.override,
        registry=registry,
    )
    if plan is None or plan.lock is None:
        return made
    return replace(made, locking=Locking(plan.lock, view))


def usual_stripes(profile: Profile, signal: Signal) -> tuple[Band, ...]:
    """Stripes where only the curve is known: around mid-grey, and the last third stop to the clip.

    0 st within 0.2 st is common practice, no source; a third stop is the step of camera controls.
    On a curve that ends soon above white they begin above it: a white that is exposed as it should
    be is no warning.
    """
    clip = profile.yardstick(signal).clip_stops
    mid = around(stops(0.0), stops(0.2))
    if not math.isfinite(clip):
        return (mid,)
    ceiling = math.floor((clip - THIRD_STOP) * 10.0) / 10.0
    if ceiling <= WHITE_STOPS < clip:
        ceiling = math.ceil(WHITE_STOPS * 10.0) / 10.0
    if ceiling >= clip:
        return (mid,)
    return mid, Band(BandKind.ABOVE, stops(ceiling))
