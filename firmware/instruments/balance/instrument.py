"""Balance as an instrument: the view and the command `balance`."""

from dataclasses import dataclass, replace
from typing import Any

from firmware.actions import Press
from firmware.answers.table import Line
from firmware.instruments.asking import Opener, wanted_of
from firmware.instruments.balance import BalanceOptions
from firmware.instruments.balance.answer import BalanceAnswer
from firmware.instruments.balance.lines import balance_lines
from firmware.instruments.balance.report import balance_report
from firmware.instruments.contract import Around, Instrument
from firmware.instruments.desk import Desk
from firmware.instruments.offers import Offer, Offers
from firmware.instruments.scene import Scene
from firmware.opening.gamut_choice import choose_dial
from firmware.profiles.balance_table import parse_kelvin, parse_tint
from firmware.profiles.model import Profile
from overlays.draw.layout.views import Arrangement, Over, View
from overlays.draw.moment.layers import ChromaShown, Ghost, Layer
from overlays.draw.moment.report import Report
from overlays.errors import OverlayError
from overlays.measure.balance.balance import BalanceSettings, read_balance
from overlays.measure.colour.whitepoint import WhitePoint
from overlays.measure.counting.census import Wants
from overlays.measure.spot.spot import SpotPlace

USUAL_DIAL_KELVIN = 5600.0
"""Where an unknown setting starts when it is moved: daylight (common practice, no source)."""
DIAL_STEP_KELVIN = 100.0
LEAST_DIAL, MOST_DIAL = 2000.0, 12000.0
STEPS = {Press.STRIPE_UP: 1, Press.STRIPE_DOWN: -1}


@dataclass(frozen=True, slots=True)
class BalanceView:
    """What it is set to.

    Attributes
    ----------
    ghosts:
        How often a ghost was kept or dropped; odd while one is kept.
    dial:
        What a command says the camera is set to; None leaves it to the desk and the profile.
    """

    ghosts: int = 0
    dial: WhitePoint | None = None


@dataclass(slots=True, eq=False)
class BalanceMemory:
    """The ghost, and which press kept or dropped it; both are replaced at once."""

    ghost: tuple[int, Ghost | None] = (0, None)


class Balance(Instrument[BalanceView, BalanceMemory, BalanceAnswer]):
    """How far a neutral card is from neutral, and what to dial or gel."""

    name = "balance"
    views = (View("balance", Arrangement.CORNER, Over.NOTHING),)
    counts = Wants.CHROMA

    def settings(self, profile: Profile, rate: float) -> BalanceView:
        """No ghost."""
        return BalanceView()

    def pressed(
        self, settings: BalanceView, press: Press, around: Around
    ) -> tuple[BalanceView, Desk] | None:
        """+ and − say what the camera is set to; a reference is a ghost; tab is the gain."""
        desk = around.desk
        if press is Press.SET_REFERENCE:
            return replace(settings, ghosts=settings.ghosts + 1), desk
        if press is Press.NEXT_STRIPE:
            return settings, desk.with_next_gain()
        by = STEPS.get(press)
        if by is None:
            return None
        return settings, replace(desk, dial_kelvin=_dialled(desk.dial(around.profile.dial), by))

    def offers(self, settings: BalanceView) -> Offers:
        """What the camera is set to, the ghost, the gain."""
        ghost = "drop ghost" if settings.ghosts % 2 else "keep ghost"
        return Offers((Offer(ghost, Press.SET_REFERENCE),), turned="dial", chosen="gain")

    def memory(self) -> BalanceMemory:
        """The ghost."""
        return BalanceMemory()

    def measure(self, scene: Scene, settings: BalanceView, memory: BalanceMemory) -> BalanceAnswer:
        """The balance of the spot, and the ghost that is to stand behind the chroma trace."""
        desk, profile = scene.desk, scene.profile
        dial = settings.dial or desk.dial(profile.dial)
        judged = BalanceSettings(scene.gamut, dial, profile.tolerance)
        reading, fault = None, None
        try:
            reading = read_balance(scene.frame, scene.yard, scene.place, judged)
        except OverlayError as found:
            fault = found
        ghost = _ghost(scene, settings, memory)
        return BalanceAnswer(scene.origin, judged, reading, fault, ghost, desk.gain)

    def rests_on(self, scene: Scene, settings: BalanceView) -> tuple[SpotPlace, ...]:
        """The spot."""
        return (scene.place,)

    def settled(self, settings: BalanceView, answer: BalanceAnswer) -> BalanceView:
        """What the camera was said to be set to."""
        return replace(settings, dial=answer.settings.dial)

    def ask(self, options: BalanceOptions, opener: Opener) -> BalanceAnswer:
        """Read the card, with what the command line says of the camera."""
        _check(options)
        at = () if options.at is None else (options.at,)
        with opener.scene(wanted_of(options, at, gamut=options.gamut)) as scene:
            dial = choose_dial(options.dial, options.tint, scene.profile)
            answer = self.measure(scene, BalanceView(dial=dial), self.memory())
        if answer.fault is not None:
            raise answer.fault
        return answer

    def report(self, answer: BalanceAnswer) -> Report:
        """What to dial, large; then the numbers it comes from."""
        return balance_report(answer)

    def figure(self, answer: BalanceAnswer) -> str:
        """Whether it is right, else what to dial."""
        main = self.report(answer).main
        return f"dial {main} K" if main.isdecimal() else main

    def layers(self, answer: BalanceAnswer) -> tuple[Layer, ...]:
        """The chroma trace, and the ghost where one is kept."""
        chroma = ChromaShown(answer.settings, answer.gain)
        return (chroma,) if answer.ghost is None else (chroma, answer.ghost)

    def has_object(self, answer: BalanceAnswer) -> bool:
        """Where the card could be read."""
        return answer.reading is not None

    def lines(self, answer: BalanceAnswer) -> list[Line]:
        """For the terminal."""
        assert answer.reading is not None  # `ask` answers with one
        return balance_lines(answer, answer.reading)


def _dialled(now: WhitePoint | None, by: int) -> float:
    """The camera's setting one step up or down, on whole hundreds, as dials are."""
    if now is None:  # the first press says what it starts from
        return USUAL_DIAL_KELVIN
    steps = round(now.kelvin / DIAL_STEP_KELVIN) + by
    return min(max(steps * DIAL_STEP_KELVIN, LEAST_DIAL), MOST_DIAL)


def _ghost(scene: Scene, settings: BalanceView, memory: BalanceMemory) -> Ghost | None:
    """What is kept; a press keeps or drops it with the next frame that is on the screen."""
    if memory.ghost[0] != settings.ghosts and scene.is_shown:
        kept = Ghost.of(scene.census, scene.frame.signal) if settings.ghosts % 2 else None
        memory.ghost = (settings.ghosts, kept)
    return memory.ghost[1]


def _check(options: BalanceOptions) -> None:
    """A setting that is none is wrong before a frame is waited for."""
    if options.dial is not None:
        parse_kelvin(options.dial)
    if options.tint is not None:
        parse_tint(options.tint)


INSTRUMENT: Instrument[Any, Any, Any] = Balance()
