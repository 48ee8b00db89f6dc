"""Characterising a camera as an instrument: the command `characterise`, which has no view."""

from collections.abc import Sequence
from typing import Any

from firmware.answers.table import Line, Table, notes, sentences
from firmware.errors import ArgumentError
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.characterise import CharacteriseOptions
from firmware.instruments.characterise.answer import CharacteriseAnswer, StepNoise
from firmware.instruments.characterise.camera_words import camera_words, step_words
from firmware.instruments.characterise.page import page
from firmware.instruments.characterise.step_reading import frames_apart, read_card, read_followed
from firmware.instruments.contract import Instrument
from firmware.instruments.scene import Scene
from firmware.opening.overrides import overrides_of
from firmware.profiles.made import Made, write_profile
from firmware.profiles.model import Profile
from firmware.system.files import save, unsaved
from firmware.written.arguments import output_file
from firmware.written.numbered import split_feed
from overlays.draw.moment.report import Report
from overlays.measure.characterise.camera_found import CameraFound, characterised
from overlays.measure.characterise.flicker import BracketFrames, slowest_beat
from overlays.measure.characterise.followed import Followed, readings_of_steps
from overlays.measure.characterise.misset import FEWEST_STEPS
from overlays.measure.feedcheck.readings import reading_of_clip
from overlays.signal.levels import Carriage
from overlays.signal.quantities import stops
from overlays.signal.signal import SignalOverride
from overlays.signal.tabled import MOST_STOPS, TabledStops
from overlays.wording.read_number import number_in


class Characterise(Instrument[None, None, CharacteriseAnswer]):
    """A camera that nobody has described."""

    name = "characterise"

    def settings(self, profile: Profile, rate: float) -> None:
        """It has none of its own."""

    def memory(self) -> None:
        """It keeps nothing."""

    def measure(self, scene: Scene, settings: None, memory: None) -> CharacteriseAnswer:
        """One frame is no bracket; only its command asks for one."""
        raise ArgumentError("a camera is characterised by the command characterise alone")

    def ask(self, options: CharacteriseOptions, opener: Opener) -> CharacteriseAnswer:
        """Read cap, bracket and clip, one after the other."""
        steps = [_split_step(text) for text in options.bracket]
        _check(options, len(steps))
        cap_at = () if options.at is None else (options.at,)
        with opener.scene(_wanted(options.cap, options, *cap_at)) as scene:
            origin, cap = scene.origin, read_card(scene)[0]
        read = _read_bracket(steps, options, opener, origin.signal.bits)
        with opener.scene(_wanted(options.clip, options)) as scene:
            _check_depth(scene, origin.signal.bits)
            clip = reading_of_clip(scene.census, scene.yard)
        read.sort(key=lambda each: each[0])
        each = [followed for _, followed, _ in read]
        bracket = list(zip((at for at, _, _ in read), readings_of_steps(each), strict=True))
        slowest = slowest_beat(origin.profile.camera.mains, origin.info.rate)
        frames = BracketFrames(tuple(one.swing for one in each), slowest)
        found = characterised(cap, bracket, clip, origin.signal, frames)
        return CharacteriseAnswer(origin, options.name, found, tuple(noise for *_, noise in read))

    def report(self, answer: CharacteriseAnswer) -> Report | None:
        """It has no view."""
        return None

    def lines(self, answer: CharacteriseAnswer) -> list[Line]:
        """The steps, what was found, warnings."""
        rows = tuple(
            (
                f"{step.stops:+.2f}",
                f"{step.reading.code:.1f}",
                f"{step.reading.noise:.2f}",
                *(f"{value:.2f}" for value in noise.channels),
                step_words(step),
            )
            for step, noise in zip(answer.found.steps, answer.noise, strict=True)
        )
        said, info = camera_words(answer.found), answer.origin.info
        simulated = " (simulated)" if info.is_simulated else ""
        return [
            # What it is first: the feeds of a bracket have long names.
            f"{answer.name}{simulated}: {info.name}, codes of {answer.origin.signal.bits} bits",
            Table(("stops", "code", "noise", "of R'", "G'", "B'", ""), rows, left=(6,)),
            *sentences(said),
            *notes(answer.origin.warnings, said),
        ]

    def keep(self, answer: CharacteriseAnswer, options: CharacteriseOptions) -> None:
        """Write the profile and the page that were asked for."""
        if options.profile_out is not None:
            write_profile(profile_of(answer), options.profile_out)
        if options.report is not None:
            try:
                save(options.report, page(answer).encode())
            except OSError as fault:
                raise ArgumentError(unsaved(options.report, "report", fault)) from fault


def profile_of(answer: CharacteriseAnswer) -> Made:
    """A profile that reads this camera: on the whole code scale, of the range it was read with."""
    found, signal = answer.found, answer.origin.signal
    floor = None if found.floor_stops is None else stops(round(found.floor_stops, 2))
    return Made(
        title=answer.name,
        notes="; ".join(camera_words(found)),
        curve=_curve_keys(answer.name, found),
        carriage=Carriage.FULL,
        signal=SignalOverride(signal.range, signal.matrix),
        clip=stops(round(found.clip_stops, 2)),
        floor=floor,
    )


def _curve_keys(name: str, found: CameraFound) -> dict[str, object]:
    keys: dict[str, object] = {"name": name[:40]}
    parameters, formula = found.fit.parameters, found.fit.curve.formula
    if isinstance(formula, TabledStops):
        return {
            **keys,
            "stops": list(formula.stops),
            "values": list(formula.values),
            "black": formula.black,
        }
    assert parameters is not None  # a curve is a table or has parameters
    named = {key: getattr(parameters, key) for key in parameters.__dataclass_fields__}
    return {**keys, **{key: value for key, value in named.items() if value is not None}}


def _split_step(text: str) -> tuple[str, float, str | None]:
    """(feed, stops, place) of ``FEED@STOPS`` or ``FEED@STOPS@X,Y``."""
    parts = text.rsplit("@", 2) if text.count("@") > 1 else text.rsplit("@", 1)
    if len(parts) == 3 and "," not in parts[2]:
        parts = [f"{parts[0]}@{parts[1]}", parts[2]]
    if len(parts) < 2:
        raise ArgumentError(
            f"--bracket {text!r} says no stops; write FEED@STOPS, as take.mov#40@-1.33"
        )
    at = number_in(parts[1].removesuffix("st"))
    if at is None or abs(at) > MOST_STOPS:
        raise ArgumentError(
            f"--bracket {text!r}: {parts[1]!r} are no stops; write -{MOST_STOPS:g} to "
            f"{MOST_STOPS:g} behind the @"
        )
    return parts[0], at, parts[2] if len(parts) == 3 else None


def _read_bracket(
    steps: Sequence[tuple[str, float, str | None]],
    options: CharacteriseOptions,
    opener: Opener,
    bits: int,
) -> list[tuple[float, Followed, StepNoise]]:
    """(stops, reading, noise) of each step; a picture that holds several is opened once."""
    pictures: dict[tuple[str, bool], list[tuple[float, str | None]]] = {}
    for feed, at, place in steps:
        where = place or options.at
        pictures.setdefault((feed, where is None), []).append((at, where))
    apart = frames_apart([split_feed(feed) for feed, _ in pictures])
    read: list[tuple[float, Followed, StepNoise]] = []
    for ((feed, _), placed), gap in zip(pictures.items(), apart, strict=True):
        spots = tuple(where for _, where in placed if where is not None)
        with opener.followed(_wanted(feed, options, *spots)) as (scene, behind):
            _check_depth(scene, bits)
            places = [pin.place for pin in scene.desk.pins] or [scene.place] * len(placed)
            found = read_followed(scene, behind, places, gap)
            read += [(at, *one) for (at, _), one in zip(placed, found, strict=True)]
    return read


def _wanted(text: str, options: CharacteriseOptions, *at: str) -> Wanted:
    feed, frame = split_feed(text)
    return Wanted(feed, options.profile, overrides_of(options), frame, at)


def _check(options: CharacteriseOptions, steps: int) -> None:
    if steps < FEWEST_STEPS:
        raise ArgumentError(
            f"too few steps ({steps}); give --bracket FEED@STOPS at least {FEWEST_STEPS} times, "
            "best every third of a stop from black to the clip"
        )
    for path, ending in ((options.profile_out, ".toml"), (options.report, ".html")):
        if path is not None:
            output_file(path, ending)


def _check_depth(scene: Scene, bits: int) -> None:
    if scene.frame.signal.bits != bits:
        raise ArgumentError("cap, bracket and clip come in different depths; use one feed for all")


INSTRUMENT: Instrument[Any, Any, Any] = Characterise()
