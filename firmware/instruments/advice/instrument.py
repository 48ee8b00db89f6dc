"""Advice as an instrument: the view and the command `expose`."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

from firmware.actions import Press
from firmware.answers.reading_words import reading_words
from firmware.answers.table import Line
from firmware.instruments.advice import AdviceOptions
from firmware.instruments.advice.answer import AdviceAnswer
from firmware.instruments.advice.camera_standing import (
    Standing,
    kept_of,
    next_chosen,
    nudged,
    standing_asked,
    standing_of,
    with_kept,
)
from firmware.instruments.advice.lines import advice_lines
from firmware.instruments.advice.report import advice_report
from firmware.instruments.asking import Opener, wanted_of
from firmware.instruments.contract import Around, Instrument
from firmware.instruments.desk import Desk
from firmware.instruments.offers import Offers
from firmware.instruments.scene import Scene
from firmware.profiles.model import Profile
from overlays.draw.layout.views import Arrangement, Over, Readings, View
from overlays.draw.moment.report import Report
from overlays.measure.counting.census import Wants
from overlays.measure.expose.advice import (
    NEAR_STOPS,
    Move,
    joined_moves,
    present_notes,
    single_moves,
)
from overlays.measure.expose.off_target import off_target
from overlays.measure.range.forecast import Forecast, foresee
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.curves import Family
from overlays.wording.numbers import UNKNOWN, stops_text
from overlays.wording.reasons import Reason

EXPOSE = View(
    "expose",
    Arrangement.TRACE,
    Over.STRIPES | Over.EXTREMES,
    Readings.BOTH,
    once=("advice",),
)

STEPS = {Press.STRIPE_UP: 1, Press.STRIPE_DOWN: -1}


class Advice(Instrument[Standing, None, AdviceAnswer]):
    """How far the spot is off its target, and what to do about it."""

    name = "advice"
    views = (EXPOSE,)
    counts_when_due = Wants.RGB

    def settings(self, profile: Profile, rate: float) -> Standing:
        """Where the profile says the camera stands."""
        return standing_of(profile, rate)

    def with_profile(
        self, settings: Standing, profile: Profile, rate: float, left: Standing | None
    ) -> Standing:
        """Another camera stands elsewhere: where it was last said to stand."""
        return standing_of(profile, rate) if left is None else left

    def kept(self, settings: Standing) -> dict[str, str]:
        """Where the camera's controls stand, and which one is chosen."""
        return kept_of(settings)

    def with_kept(self, settings: Standing, kept: Mapping[str, str]) -> Standing:
        """The controls where they were said to stand, as far as the profile still has them."""
        return with_kept(settings, kept)

    def pressed(
        self, settings: Standing, press: Press, around: Around
    ) -> tuple[Standing, Desk] | None:
        """Tab chooses a control; + and − say where it stands now. Stripes where there is none."""
        if not settings.controls:
            return None
        if press is Press.NEXT_STRIPE:
            return next_chosen(settings), around.desk
        by = STEPS.get(press)
        return None if by is None else (nudged(settings, by), around.desk)

    def offers(self, settings: Standing) -> Offers:
        """Where the camera stands."""
        return Offers(turned="setting", chosen="next setting") if settings.controls else Offers()

    def memory(self) -> None:
        """It keeps nothing."""

    def measure(self, scene: Scene, settings: Standing, memory: None) -> AdviceAnswer:
        """The moves that would put the spot right, and what the extremes will be then."""
        spot = scene.spot
        if spot is None:
            return AdviceAnswer(scene.origin, settings, None, scene.range, why=Reason.NOT_READ)
        off, pm = off_target(spot, settings.target, scene.yard)
        why = None
        if spot.stops is None or spot.bound is not None:
            off, pm, why = None, None, spot.unknown
        elif off is None:
            why = Reason.OUT_OF_REACH
        moves: tuple[Move, ...] = ()
        together: tuple[Move, ...] = ()
        if off is not None and abs(off) > NEAR_STOPS:
            moves = single_moves(off, settings.controls, settings.shooting)
            together = joined_moves(off, settings.controls, settings.shooting)
        change = _change(off, moves, together, settings)
        return AdviceAnswer(
            scene.origin,
            settings,
            spot,
            scene.range,
            off,
            pm,
            why,
            moves,
            together,
            change,
            _forecast(scene, change),
            _notes(scene, settings, change),
        )

    def rests_on(self, scene: Scene, settings: Standing) -> tuple[SpotPlace, ...]:
        """The spot; what is foreseen rests on the extremes and on counts of R, G and B."""
        return (scene.place,)

    def settled(self, settings: Standing, answer: AdviceAnswer) -> Standing:
        """Where the camera was said to stand."""
        return answer.standing

    def ask(self, options: AdviceOptions, opener: Opener) -> AdviceAnswer:
        """Read the card, with what the command line says of the camera."""
        at = () if options.at is None else (options.at,)
        with opener.scene(wanted_of(options, at)) as scene:
            settings = standing_asked(options, scene.profile, scene.read_with.info.rate)
            return self.measure(scene, settings, None)

    def report(self, answer: AdviceAnswer) -> Report:
        """How far off, large; what to do; each control and the extremes below."""
        return advice_report(answer)

    def has_object(self, answer: AdviceAnswer) -> bool:
        """Where spot and extremes could be read."""
        return answer.spot is not None and answer.forecast is not None

    def figure(self, answer: AdviceAnswer) -> str:
        """How far off its target the spot is."""
        off = answer.off_stops
        return UNKNOWN if off is None else f"{stops_text(off)} st off"

    def words(self, answer: AdviceAnswer) -> dict[str, str]:
        """Spot and extremes, then what to do."""
        if answer.spot is None or answer.range is None:
            return {"": "the spot cannot be read"}
        return {**reading_words(answer.spot, answer.range), "": answer.words}

    def lines(self, answer: AdviceAnswer) -> list[Line]:
        """For the terminal."""
        return advice_lines(answer)


def _change(
    off: float | None, moves: Sequence[Move], together: Sequence[Move], standing: Standing
) -> float:
    if together:
        return math.fsum(move.change_stops for move in together)
    if moves:
        return moves[0].change_stops
    if off is None or abs(off) <= NEAR_STOPS or standing.controls:
        return 0.0
    return -off


def _forecast(scene: Scene, change: float) -> Forecast | None:
    if scene.range is None or scene.census.rgb is None:
        return None
    return foresee(
        change, scene.frame, scene.yard, scene.census, scene.range, scene.profile.speck_percent
    )


def _notes(scene: Scene, standing: Standing, change: float) -> tuple[str, ...]:
    out = list(present_notes(standing.controls, standing.shooting))
    profile = scene.profile
    is_guessed = profile.clip is None and scene.yard.flat_top is None  # else it was found
    if change > 0.0 and is_guessed and profile.curve.family is Family.LOG:
        out.append(
            "the profile gives no clip, so the top of the curve was taken: the camera may clip "
            "lower than the forecast says"
        )
    return tuple(out)


INSTRUMENT: Instrument[Any, Any, Any] = Advice()
