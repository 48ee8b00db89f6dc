"""From the state to what is kept of it over a power cut, and back. Pure.

What a person has set comes back as it was. Two things go over it, since somebody did them on
purpose later: an option that asks for something else than before, and a profile whose file has
been edited since.
"""

import hashlib
import math
from collections.abc import Mapping
from dataclasses import replace

from firmware.actions import PictureSize
from firmware.errors import ArgumentError
from firmware.instruments.desk import Desk, PinPlace, inside, pins_of
from firmware.kept.document import Kept, KeptAsked, KeptLook, KeptPin, KeptSpot
from firmware.live.by_profile import ByProfile
from firmware.live.picture_kept import kept_picture, shown_again
from firmware.live.state import State, after
from firmware.profiles.model import Profile
from overlays.draw.chroma.graticule import GAINS
from overlays.draw.layout.views import TraceKind, View
from overlays.measure.colour.locus import HIGHEST_KELVIN, LOWEST_KELVIN
from overlays.measure.pins.lighting import MOST_PINS
from overlays.measure.spot.spot import SpotPlace


def fingerprint(profile: Profile) -> str:
    """Tells whether a profile says the same as when something was set on it."""
    said = (
        *(profile.curve.name, profile.laid, profile.target, profile.clip, profile.floor),
        *(profile.stripes, profile.camera, profile.dial, profile.pins),
    )
    return hashlib.sha256(repr(said).encode()).hexdigest()[:16]


def kept_of(state: State, asked: KeptAsked) -> Kept:
    """What is kept of a state; `asked` is what the options asked for."""
    desk, profile = state.desk, state.in_use
    now = ByProfile(state.stripes, state.selected, state.settings, desk.dial_kelvin)
    looks = {**dict(state.left), state.profile: now}
    usual = pins_of(profile, state.columns, state.rows)
    return Kept(
        asked=asked,
        view=state.view.name,
        # The first is what options and feed make of it, which may be another one next time.
        profile=profile.name if state.profile else None,
        columns=state.columns,
        rows=state.rows,
        spot=_kept_spot(state.spot),
        pins=None if desk.pins == usual else tuple(map(_kept_pin, desk.pins)),
        trace=state.trace.name,
        painted=state.painted,
        gain=desk.gain,
        picture=kept_picture(state.monitor),
        looks=tuple(
            _kept_look(state, state.profiles[index], look) for index, look in sorted(looks.items())
        ),
    )


def _kept_spot(place: SpotPlace) -> KeptSpot:
    return KeptSpot(column=place.column, row=place.row, size=place.size)


def _kept_pin(pin: PinPlace) -> KeptPin:
    return KeptPin(name=pin.name[:200], place=_kept_spot(pin.place), by_hand=pin.by_hand)


def _kept_look(state: State, profile: Profile, look: ByProfile) -> KeptLook:
    settings = dict(look.settings)
    kept = {each.name: each.kept(settings[each.name]) for each in state.registry}
    dial = look.dial_kelvin
    return KeptLook(
        name=profile.name[:200],
        made_of=fingerprint(profile),
        stripes=tuple(float(band.at.number) for band in look.stripes),
        selected=look.selected,
        dial_kelvin=None if dial is None or not math.isfinite(dial) else float(dial),
        instruments={name: words for name, words in kept.items() if words},
    )


def restored(state: State, kept: Kept, asked: KeptAsked) -> State:
    """The state as it was kept, from the one that the options make.

    Parameters
    ----------
    state:
        As at a start without anything kept.
    kept:
        What was kept.
    asked:
        What the options ask for now.
    """
    looks = {look.name: look for look in kept.looks}
    left = {
        index: found
        for index, profile in enumerate(state.profiles)
        if (found := _look(state, profile, looks)) is not None
    }
    index, is_guess = _profile_of(state, kept, asked)
    now = left.pop(index, None) or _fresh(state, state.profiles[index])
    profile = state.profiles[index]
    desk = _desk(state, kept, now.dial_kelvin)
    names = {kind.name: kind for kind in TraceKind}
    spot, picture = kept.spot, (kept.columns, kept.rows)
    then = replace(
        state,
        columns=kept.columns,
        rows=kept.rows,
        spot=inside(spot.column, spot.row, spot.size, *picture),
        view=_view_of(state, kept, asked),
        profile=index,
        is_guess=is_guess,
        stripes=now.stripes,
        selected=now.selected,
        painted=kept.painted,
        monitor=shown_again(profile.monitor or state.monitor, kept.picture),
        trace=names.get(kept.trace, state.trace),
        desk=desk,
        settings=now.settings,
        left=tuple(sorted(left.items(), key=lambda item: item[0])),
    )
    made = after(then, PictureSize(state.columns, state.rows))
    if kept.pins is None:
        usual = pins_of(profile, state.columns, state.rows)
        made = replace(made, desk=replace(made.desk, pins=usual))
    return made


def _view_of(state: State, kept: Kept, asked: KeptAsked) -> View:
    if kept.asked.view != asked.view:
        return state.view
    try:
        return state.registry.view(kept.view)
    except ArgumentError:  # of another version
        return state.view


def _profile_of(state: State, kept: Kept, asked: KeptAsked) -> tuple[int, bool]:
    """Which profile is in use, and whether that is a guess."""
    names = [profile.name for profile in state.profiles]
    if kept.profile not in names or kept.asked.profile != asked.profile:
        return state.profile, state.is_guess
    return names.index(kept.profile), False


def _look(state: State, profile: Profile, looks: Mapping[str, KeptLook]) -> ByProfile | None:
    look = looks.get(profile.name)
    if look is None or look.made_of != fingerprint(profile):
        return None
    if len(look.stripes) != len(profile.stripes):
        return None
    stripes = tuple(
        replace(band, at=replace(band.at, number=number))
        for band, number in zip(profile.stripes, look.stripes, strict=True)
    )
    settings = tuple(
        (each.name, each.with_kept(now, look.instruments.get(each.name, {})))
        for each, (_, now) in zip(state.registry, _fresh(state, profile).settings, strict=True)
    )
    return ByProfile(stripes, min(look.selected, max(len(stripes) - 1, 0)), settings, _dial(look))


def _dial(look: KeptLook) -> float | None:
    kelvin = look.dial_kelvin
    is_light = kelvin is not None and LOWEST_KELVIN <= kelvin <= HIGHEST_KELVIN
    return kelvin if is_light else None


def _fresh(state: State, profile: Profile) -> ByProfile:
    """What is set on a profile that nothing was set on."""
    settings = tuple((each.name, each.settings(profile, state.rate)) for each in state.registry)
    return ByProfile(profile.stripes, 0, settings, None)


def _desk(state: State, kept: Kept, dial: float | None) -> Desk:
    gain = kept.gain if kept.gain in GAINS else state.desk.gain
    if kept.pins is None:
        return Desk((), dial, gain)
    picture = (kept.columns, kept.rows)
    pins = tuple(
        PinPlace(
            pin.name,
            inside(pin.place.column, pin.place.row, pin.place.size, *picture),
            pin.by_hand,
        )
        for pin in kept.pins
    )
    return Desk(pins[:MOST_PINS], dial, gain)
