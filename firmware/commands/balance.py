"""`midgrey balance`: what a neutral card says of the camera's balance, and what to dial."""

import json
from dataclasses import dataclass
from typing import Any, TextIO

from firmware.clock import Clock
from firmware.feeds.base import FeedInfo, Pace
from firmware.opening.gamut_choice import choose_dial, choose_gamut
from firmware.opening.one_frame import take_frame
from firmware.opening.session import open_session
from firmware.profiles.model import Profile
from firmware.readout import SCHEMA, feed_object, finite, profile_object
from firmware.wording import fine, stops_text
from firmware.written.options import BalanceOptions, Output
from firmware.written.places import CENTRE, parse_spot, usual_size
from overlays.measure.balance.balance import BalanceReading, BalanceSettings, read_balance
from overlays.measure.balance.balance_advice import advice
from overlays.signal.frame import Frame


@dataclass(frozen=True, slots=True)
class _Answer:
    """A reading with everything it was taken from."""

    reading: BalanceReading
    settings: BalanceSettings
    frame: Frame
    info: FeedInfo
    profile: Profile
    warnings: tuple[str, ...]


def balance(options: BalanceOptions, clock: Clock, out: TextIO) -> None:
    """Read a card's balance and print what it says to `out`.

    Raises
    ------
    FirmwareError, OverlayError, OSError
        The feed, the profile, the gamut or the spot is not to be had; one sentence says why. A
        card that cannot be balanced by is no fault: the reading says so.
    """
    answer = _measure(options, clock)
    if options.output is Output.JSON:
        print(json.dumps(_as_object(answer), indent=2, allow_nan=False), file=out)
    else:
        from rich.console import Console  # noqa: PLC0415 - not needed for --json

        console = Console(file=out, highlight=False, soft_wrap=False)
        for line in _lines(answer):
            console.print(line, markup=False)


def _measure(options: BalanceOptions, clock: Clock) -> _Answer:
    written = CENTRE if options.spot is None else parse_spot(options.spot)
    session = open_session(
        options.feed, options.profile, options.overrides, clock=clock, pace=Pace.STEP
    )
    feed, profile = session.feed, session.profile
    try:
        chosen = choose_gamut(options.gamut, profile, session.info)
        dial = choose_dial(options.dial, options.tint, profile)
        settings = BalanceSettings(chosen.gamut, dial, profile.tolerance)
        frame = take_frame(feed, options.frame, clock)
        try:
            place = written.place(
                frame.columns, frame.rows, usual_size(frame.rows, profile.spot_percent)
            )
            yard = profile.yardstick(frame.signal, frame.shift)
            reading = read_balance(frame, yard, place, settings)
        finally:
            feed.release(frame)
    finally:
        feed.close()
    said = [*session.info.warnings, *frame.notes, *chosen.warnings, *reading.warnings]
    if reading.refusal is not None:
        said.append(reading.refusal)
    elif dial is None:
        said.append("dial_to unknown: say what the camera is set to with --dial")
    warnings = tuple(dict.fromkeys(said))
    return _Answer(reading, settings, frame, session.info, profile, warnings)


_NUMBERS = (
    "cct",
    "cct_pm",
    "duv",
    "duv_pm",
    "r_stops",
    "r_stops_pm",
    "b_stops",
    "b_stops_pm",
    "chroma_percent",
    "chroma_percent_pm",
    "off_neutral",
    "off_neutral_pm",
    "mired_shift",
    "mired_shift_pm",
    "dial_to",
    "dial_to_pm",
    "tint",
    "tint_pm",
)
"""Fields of a reading that are keys of the object as they are."""


def _as_object(answer: _Answer) -> dict[str, Any]:
    """The object of `--json`: keys are a public interface, as in `firmware.readout`."""
    reading, settings, frame = answer.reading, answer.settings, answer.frame
    spot, dial = reading.spot, settings.dial
    sheet = reading.sheet
    out: dict[str, Any] = {
        "schema": SCHEMA,
        "feed": feed_object(answer.info, frame.signal, (frame.columns, frame.rows), frame.number),
        "profile": {**profile_object(answer.profile), "gamut": settings.gamut.name},
        "spot": {
            "x": spot.place.column,
            "y": spot.place.row,
            "size": spot.place.size,
            "stops": finite(spot.stops),
            "stops_pm": finite(spot.stops_pm),
            "rgb_linear": [finite(value) for value in spot.rgb_linear],
            "clipped": finite(spot.clipped),
        },
        "dial": None if dial is None else finite(dial.kelvin),
        "dial_tint": None if dial is None else finite(1000.0 * dial.duv),
        "tolerance": finite(settings.tolerance),
    }
    out |= {name: finite(getattr(reading, name)) for name in _NUMBERS}
    out["filter"] = (
        None
        if sheet is None
        else {
            "name": sheet.name,
            "mired": sheet.mired,
            "leaves_mired": finite(reading.sheet_leaves_mired),
        }
    )
    out["in_tolerance"] = reading.in_tolerance
    out["advice"] = list(advice(reading, settings))
    out["warnings"] = list(answer.warnings)
    return out


def _lines(answer: _Answer) -> list[str]:
    reading, settings, frame = answer.reading, answer.settings, answer.frame
    spot = reading.spot
    heading = (
        f"{answer.info.name}, frame {frame.number}: card at {spot.place.column},{spot.place.row},"
        f"{spot.place.size}, {stops_text(spot.stops, spot.stops_pm)} st; "
        f"{answer.profile.curve.name}, {settings.gamut.name}"
    )
    out = [heading]
    if reading.refusal is None:
        out += _number_lines(reading, settings)
    first, *more = advice(reading, settings)
    out += [f"{first[:1].upper()}{first[1:]}."]
    out += [f"{each[:1].upper()}{each[1:]}." for each in more]
    said = {reading.refusal}
    out += [f"Note: {warning}." for warning in answer.warnings if warning not in said]
    return out


def _number_lines(reading: BalanceReading, settings: BalanceSettings) -> list[str]:
    assert reading.off_neutral is not None  # there is a reading
    assert reading.off_neutral_pm is not None  # the same
    assert reading.chroma_percent is not None  # the same
    first = (
        f"Red {stops_text(reading.r_stops, reading.r_stops_pm)} st, blue "
        f"{stops_text(reading.b_stops, reading.b_stops_pm)} st against green; chroma "
        f"{reading.chroma_percent:.1f} ±{fine(reading.chroma_percent_pm or 0.0, 1)} %; "
        f"off neutral {reading.off_neutral:.4f} ±{fine(reading.off_neutral_pm, 4)} in u'v' "
        f"(tolerance {settings.tolerance:.4f})"
    )
    out = [first]
    if reading.cct is not None and reading.duv is not None:
        out.append(
            f"Shown as a light of {reading.cct:.0f} ±{fine(reading.cct_pm or 0.0, 0)} K, Duv "
            f"{reading.duv:+.4f} ±{fine(reading.duv_pm or 0.0, 4)}"
        )
    if reading.dial_to is not None and reading.tint is not None:
        out.append(
            f"The light itself: {reading.dial_to:.0f} ±{fine(reading.dial_to_pm or 0.0, 0)} K, "
            f"tint {reading.tint + 0.0:+.1f} ±{fine(reading.tint_pm or 0.0, 1)} thousandths of Duv "
            "from the setting"
        )
    if reading.mired_shift is not None:
        out.append(
            f"Shift wanted of a filter: {round(reading.mired_shift) + 0.0:+.0f} "
            f"±{fine(reading.mired_shift_pm or 0.0, 0)} mired"
        )
    return out
