"""The chart as an instrument: the view and the command `chart`."""

from dataclasses import dataclass, field, replace
from typing import Any

from firmware.actions import Press
from firmware.answers.table import Line
from firmware.instruments.asking import Opener, Wanted, wanted_of
from firmware.instruments.chart import ChartOptions, by_hand
from firmware.instruments.chart.answer import ChartAnswer
from firmware.instruments.chart.by_hand import ByHand, shifted, start_box
from firmware.instruments.chart.chart_choice import KeptReference, read_any, read_at, references_of
from firmware.instruments.chart.chart_png import save_picture
from firmware.instruments.chart.lines import chart_lines
from firmware.instruments.chart.report import chart_report
from firmware.instruments.contract import Around, Instrument
from firmware.instruments.desk import Desk
from firmware.instruments.offers import Offer, Offers
from firmware.instruments.scene import Scene
from firmware.profiles.model import Profile
from firmware.written.arguments import output_file
from firmware.written.corners import parse_corners
from firmware.written.spelling import choice
from overlays.draw.layout.views import Arrangement, Over, View
from overlays.draw.moment.layers import ChartShown, Layer
from overlays.draw.moment.report import Report
from overlays.errors import OverlayError
from overlays.measure.chart.chart import read_chart_in_steps
from overlays.measure.chart.chart_reading import Scaling
from overlays.measure.chart.find import FoundChart, find_chart_in_steps
from overlays.measure.chart.looks import compare_looks
from overlays.measure.chart.place import Corners, in_order
from overlays.measure.chart.reference import BUILT_IN
from overlays.measure.spot.spot import SpotPlace
from overlays.sharing.stepwise import Steps, whole
from overlays.wording.numbers import UNKNOWN

EVERY_NS = 1_000_000_000
"""A chart is looked for once a second: it takes longer than anything else that is measured."""


@dataclass(frozen=True, slots=True)
class ChartView:
    """What it is set to.

    Attributes
    ----------
    hand:
        What was done about the corners on the screen.
    corners:
        Where a command says they are, in pixels of the feed; None leaves it to `hand`.
    references:
        The charts that may be meant.
    scaling:
        What of the greys is evened out.
    """

    hand: ByHand = field(default_factory=ByHand)
    corners: Corners | None = None
    references: tuple[KeptReference, ...] = BUILT_IN
    scaling: Scaling = Scaling.NEUTRALS


@dataclass(slots=True, eq=False)
class ChartMemory:
    """Corners last found, and those that are moved by hand from there; None where none are."""

    found: Corners | None = None
    base: Corners | None = None


class Chart(Instrument[ChartView, ChartMemory, ChartAnswer]):
    """The colours of a chart against what they should be."""

    name = "chart"
    views = (View("chart", Arrangement.TABLE, Over.NOTHING),)

    def settings(self, profile: Profile, rate: float) -> ChartView:
        """It is looked for."""
        return ChartView()

    def pressed(
        self, settings: ChartView, press: Press, around: Around
    ) -> tuple[ChartView, Desk] | None:
        """Tab chooses a corner, arrows move it; C has the chart looked for again."""
        hand = by_hand.pressed(settings.hand, press, around.columns)
        return None if hand is None else (replace(settings, hand=hand), around.desk)

    def offers(self, settings: ChartView) -> Offers:
        """To find it again, or its corners by hand."""
        again = (Offer("find chart", Press.SPOT_CENTRE),)
        return Offers(again, turned="", chosen="next corner", moved="corner")

    def memory(self) -> ChartMemory:
        """No chart yet."""
        return ChartMemory()

    def every_ns(self, settings: ChartView) -> int:
        """It takes long."""
        return EVERY_NS

    def is_long(self, settings: ChartView) -> bool:
        """To find it takes several frames, to read its patches one or two."""
        return True

    def measure(self, scene: Scene, settings: ChartView, memory: ChartMemory) -> ChartAnswer:
        """The chart where it is said to be, else where it is found."""
        return whole(self.measure_in_steps(scene, settings, memory))

    def measure_in_steps(
        self, scene: Scene, settings: ChartView, memory: ChartMemory
    ) -> Steps[ChartAnswer]:
        """The same, step by step."""
        origin, chosen = scene.origin, settings.hand.chosen
        corners = _placed(scene, settings, memory)
        try:
            if corners is None:
                found = yield from _found(scene, settings, memory)
                corners, by = found.corners, (found.reference, found.corners, settings.scaling)
                reading = yield from read_chart_in_steps(scene.frame, scene.yard, scene.gamut, *by)
            else:
                placed = in_order(corners.points)
                reading = yield from read_any(scene, settings.references, placed, settings.scaling)
        except OverlayError as fault:
            return ChartAnswer(origin, None, corners, chosen, fault)
        return ChartAnswer(origin, reading, corners, chosen)

    def rests_on(self, scene: Scene, settings: ChartView) -> tuple[SpotPlace, ...] | None:
        """The patches, where the chart is not looked for."""
        corners, references = settings.corners, settings.references
        return None if corners is None or len(references) != 1 else read_at(references[0], corners)

    def settled(self, settings: ChartView, answer: ChartAnswer) -> ChartView:
        """The corners and the chart that were found."""
        found = answer.reading
        if found is None:
            return settings
        return ChartView(
            corners=found.corners, references=(found.reference,), scaling=found.scaling
        )

    def ask(self, options: ChartOptions, opener: Opener) -> ChartAnswer:
        """Read the chart, and once more under the other look where one was named."""
        wanted = wanted_of(options, gamut=options.gamut)
        settings = ChartView(
            references=references_of(options), scaling=choice(Scaling, options.scale, "scale")
        )
        if options.picture is not None:
            output_file(options.picture, ".png")
        first = self._look(wanted, options, settings, opener)
        if options.against is None and options.against_profile is None:
            return first
        other = replace(
            wanted,
            feed=options.against or wanted.feed,
            profile=options.against_profile or wanted.profile,
        )
        second = self._look(other, options, settings, opener).look
        looks = compare_looks(first.look.reading, second.reading)
        return replace(first, against=second, looks=looks)

    def _look(
        self, wanted: Wanted, options: ChartOptions, settings: ChartView, opener: Opener
    ) -> ChartAnswer:
        with opener.scene(wanted) as scene:
            if options.corners is not None:
                size = (scene.frame.columns, scene.frame.rows)
                settings = replace(settings, corners=parse_corners(options.corners, *size))
            answer = self.measure(scene, settings, self.memory())
        if answer.fault is not None:
            raise answer.fault
        return answer

    def report(self, answer: ChartAnswer) -> Report:
        """The mean error, large; the worst patch, the greys and the light below."""
        return chart_report(answer)

    def figure(self, answer: ChartAnswer) -> str:
        """The mean error of its patches."""
        main = self.report(answer).main
        return "no chart" if main == UNKNOWN else f"{main} ΔE00"

    def layers(self, answer: ChartAnswer) -> tuple[Layer, ...]:
        """Patches and corners."""
        return (ChartShown(answer.reading, answer.corners, answer.chosen),)

    def has_object(self, answer: ChartAnswer) -> bool:
        """Where a chart was read."""
        return answer.reading is not None

    def lines(self, answer: ChartAnswer) -> list[Line]:
        """For the terminal."""
        return chart_lines(answer)

    def keep(self, answer: ChartAnswer, options: ChartOptions) -> None:
        """Draw the chart into the file that was named."""
        if options.picture is not None:
            save_picture(options.picture, answer)


def _placed(scene: Scene, settings: ChartView, memory: ChartMemory) -> Corners | None:
    """The corners a command says, or those moved by hand; None where the chart is looked for."""
    offsets = settings.hand.offsets
    if settings.corners is not None or offsets is None:
        if scene.is_shown:
            memory.base = None
        return settings.corners
    size = (scene.frame.columns, scene.frame.rows)
    base = memory.base or memory.found or start_box(*size)
    if scene.is_shown:
        memory.base = base
    return shifted(base, offsets, *size)


def _found(scene: Scene, settings: ChartView, memory: ChartMemory) -> Steps[FoundChart]:
    found = yield from find_chart_in_steps(
        scene.frame, scene.yard, scene.gamut, settings.references
    )
    if scene.is_shown:
        memory.found = found.corners
    return found


INSTRUMENT: Instrument[Any, Any, Any] = Chart()
