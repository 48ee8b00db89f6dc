"""Pins and evenness as an instrument: the view and the command `pins`."""

from dataclasses import dataclass, replace
from enum import Enum
from typing import Any

from firmware.actions import Press
from firmware.answers.table import Line
from firmware.errors import ArgumentError
from firmware.instruments.asking import Opener, Unplaced, wanted_of
from firmware.instruments.contract import Around, Instrument
from firmware.instruments.desk import Desk
from firmware.instruments.offers import Offer, Offers
from firmware.instruments.pins import PinsOptions
from firmware.instruments.pins.answer import EvennessAnswer, PinsAnswer, warnings_of
from firmware.instruments.pins.area import area_of, parse_area
from firmware.instruments.pins.lines import pins_lines
from firmware.instruments.pins.report import evenness_report, ratio_report
from firmware.instruments.scene import Scene
from firmware.profiles.model import Profile
from overlays.draw.layout.views import View
from overlays.draw.moment.layers import EvennessMap, Layer
from overlays.draw.moment.report import Report
from overlays.errors import OverlayError
from overlays.measure.pins.area_cells import USUAL_CELLS, cells_read
from overlays.measure.pins.lighting import MOST_PINS, read_evenness
from overlays.measure.spot.spot import SpotPlace
from overlays.wording.numbers import UNKNOWN

EVERY_NS = 1_000_000_000
"""Evenness once a second: the whole picture takes as long as several frames."""

CELLS = 6
"""On the screen, along the longer side: few enough for figures in them."""

MOST_OF_CELL = 24
"""Pixels each way of each cell that a mark holds the codes of, and is read from."""


class Asked(Enum):
    """What the pins are asked for in their view."""

    RATIOS = "ratios"
    EVENNESS = "evenness"


@dataclass(frozen=True, slots=True)
class PinsView:
    """What the view is set to.

    Attributes
    ----------
    asked:
        Ratios or evenness.
    area:
        The area whose evenness is wanted; None takes what the last two pins span.
    cells:
        Of the area, along its longer side.
    most:
        Pixels each way that are read in the middle of each cell, as in a mark; None reads all.
    """

    asked: Asked = Asked.RATIOS
    area: SpotPlace | None = None
    cells: int = CELLS
    most: int | None = None


class PinsInstrument(Instrument[PinsView, None, PinsAnswer]):
    """Differences between spots, and how even a background is lit."""

    name = "pins"
    views = (View("pins"),)

    def settings(self, profile: Profile, rate: float) -> PinsView:
        """Ratios first."""
        return PinsView()

    def pressed(
        self, settings: PinsView, press: Press, around: Around
    ) -> tuple[PinsView, Desk] | None:
        """Tab asks for the other; stripes that nobody sees stay as they are."""
        even = settings.asked is Asked.EVENNESS
        if press is Press.NEXT_STRIPE:
            asked = Asked.RATIOS if even else Asked.EVENNESS
            return replace(settings, asked=asked), around.desk
        if even and press in {Press.STRIPE_UP, Press.STRIPE_DOWN}:
            return settings, around.desk
        return None

    def offers(self, settings: PinsView) -> Offers:
        """Pins, and what they are asked for."""
        even = settings.asked is Asked.EVENNESS
        return Offers(
            (Offer("set pin", Press.SET_PIN), Offer("lift pin", Press.LIFT_PIN)),
            turned="" if even else Offers().turned,
            chosen=(Asked.RATIOS if even else Asked.EVENNESS).value,
        )

    def memory(self) -> None:
        """It keeps nothing."""

    def every_ns(self, settings: PinsView) -> int:
        """Evenness takes long."""
        return EVERY_NS if settings.asked is Asked.EVENNESS else 0

    def measure(self, scene: Scene, settings: PinsView, memory: None) -> PinsAnswer:
        """The pins, or the area, as it is asked for; both where a command names an area."""
        even = None
        if settings.asked is Asked.EVENNESS:
            even = _evenness(scene, settings)
        wants_pins = settings.asked is Asked.RATIOS or settings.area is not None
        has_pins = bool(scene.desk.pins) and wants_pins
        names = {number: pin.name for number, pin in enumerate(scene.desk.pins, start=1)}
        spots = scene.pins() if has_pins else {}
        return PinsAnswer(scene.origin, spots, names, scene.spot, even, scene.pin_flags())

    def rests_on(self, scene: Scene, settings: PinsView) -> tuple[SpotPlace, ...] | None:
        """The pins; of an area the middle of each cell: it may be as large as the picture."""
        pins = tuple(pin.place for pin in scene.desk.pins)
        if settings.asked is not Asked.EVENNESS:
            return pins
        try:
            cells = cells_read(settings.area or area_of(scene), settings.cells, settings.most)
        except OverlayError:
            return pins
        return (*pins, *cells)

    def settled(self, settings: PinsView, answer: PinsAnswer) -> PinsView:
        """Ratios or evenness as they were found, of so much of each cell as a mark can hold."""
        if answer.evenness is None:
            return settings
        if settings.asked is Asked.EVENNESS:
            return replace(settings, most=MOST_OF_CELL)
        even = answer.evenness.even  # of a command, whose area stands in its answer alone
        area = None if even is None else even.place
        return PinsView(Asked.EVENNESS, area, USUAL_CELLS, MOST_OF_CELL)

    def ask(self, options: PinsOptions, opener: Opener) -> PinsAnswer:
        """Read the spots that were named, else the profile's pins, and the area if there is one."""
        if len(options.at) > MOST_PINS:
            raise ArgumentError(f"{len(options.at)} pins; at most {MOST_PINS} can be told apart")
        settings = PinsView()
        if options.even is not None:
            settings = PinsView(Asked.EVENNESS, parse_area(options.even), USUAL_CELLS)
        with opener.scene(wanted_of(options, options.at, Unplaced.PINS)) as scene:
            if not scene.desk.pins and settings.area is None:
                raise ArgumentError(
                    "no pin was given: write --at X,Y for each, --even X,Y,WIDTH,HEIGHT for an "
                    "area, or pins in the profile"
                )
            answer = self.measure(scene, settings, None)
        if answer.evenness is not None and answer.evenness.fault is not None:
            raise answer.evenness.fault
        return answer

    def report(self, answer: PinsAnswer) -> Report:
        """Pin 1 against pin 2, or how even the area is."""
        if answer.evenness is not None:
            return evenness_report(answer.evenness, warnings_of(answer))
        return ratio_report(answer)

    def figure(self, answer: PinsAnswer) -> str:
        """The ratio or the evenness in stops."""
        main = self.report(answer).main
        return main if main == UNKNOWN else f"{main} st"

    def layers(self, answer: PinsAnswer) -> tuple[Layer, ...]:
        """The pins, or the map."""
        if answer.evenness is None:
            return (answer.flags,)
        even = answer.evenness.even
        return () if even is None else (EvennessMap(even),)

    def lines(self, answer: PinsAnswer) -> list[Line]:
        """For the terminal."""
        return pins_lines(answer)


def _evenness(scene: Scene, settings: PinsView) -> EvennessAnswer:
    count = len(scene.desk.pins)
    spanned = settings.area is not None or count > 1
    of = f"evenness, pins {count - 1} to {count}" if count > 1 else "evenness of the spot"
    place, most = settings.area or area_of(scene), settings.most
    if most is not None:
        of += f", {most} px of each cell"
    try:
        even = read_evenness(scene.frame, scene.yard, place, settings.cells, most)
    except OverlayError as fault:
        return EvennessAnswer(of, None, fault, spanned, most)
    return EvennessAnswer(of, even, is_spanned=spanned, most=most)


INSTRUMENT: Instrument[Any, Any, Any] = PinsInstrument()
