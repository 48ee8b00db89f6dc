"""Three chips as an instrument: the view and the command `chips`."""

import math
from typing import Any

from firmware.actions import Press
from firmware.answers.table import Line, notes, sentences
from firmware.answers.terminal_numbers import percent_words, plain, spot_words
from firmware.errors import ArgumentError
from firmware.instruments.asking import Opener, Unplaced, wanted_of
from firmware.instruments.chips import ChipsOptions
from firmware.instruments.chips.answer import ChipsAnswer, unit_of
from firmware.instruments.contract import Instrument
from firmware.instruments.offers import Offer, Offers
from firmware.instruments.scene import Scene
from firmware.profiles.model import Profile
from overlays.draw.layout.views import View
from overlays.draw.moment.layers import Layer
from overlays.draw.moment.report import Report, Row, Tone
from overlays.measure.chips.chip_words import chip_words
from overlays.measure.chips.three_chip import Chip, ChipReading, read_chips
from overlays.measure.spot.spot import SpotPlace
from overlays.wording.numbers import UNKNOWN, percent_text, pm_text, stops_text, typeset
from overlays.wording.numbers import signed as signed_text
from overlays.wording.reasons import Reason

FINDS = "to chips"
"""What the rail calls the press that finds them, and goes from one to the next."""


class Chips(Instrument[None, None, ChipsAnswer]):
    """White, grey and black against where they belong."""

    name = "chips"
    views = (View("chips"),)

    def settings(self, profile: Profile, rate: float) -> None:
        """It has none of its own."""

    def offers(self, settings: None) -> Offers:
        """To find the chips, or go from one to the next; pins, which lie on them."""
        pins = (Offer("set pin", Press.SET_PIN), Offer("lift pin", Press.LIFT_PIN))
        return Offers((Offer(FINDS, Press.SPOT_TO_CHIP), *pins))

    def memory(self) -> None:
        """It keeps nothing."""

    def measure(self, scene: Scene, settings: None, memory: None) -> ChipsAnswer:
        """The chips at their pins, and what explains them together."""
        order = scene.desk.chips()
        spots = scene.pins()
        if order is None or any(number not in spots for number in order):
            return ChipsAnswer(scene.origin, None, scene.pin_flags())
        chips = {chip: spots[number] for chip, number in zip(Chip, order, strict=True)}
        verdict = read_chips(chips, scene.profile.chip_targets, scene.yard)
        return ChipsAnswer(scene.origin, verdict, scene.pin_flags())

    def rests_on(self, scene: Scene, settings: None) -> tuple[SpotPlace, ...]:
        """The pins."""
        return tuple(pin.place for pin in scene.desk.pins)

    def ask(self, options: ChipsOptions, opener: Opener) -> ChipsAnswer:
        """Read the three spots that were named, else the profile's pins."""
        if len(options.at) not in {0, 3}:
            raise ArgumentError(
                f"{len(options.at)} chips; three are needed, in the order white, grey, black: "
                "--at X,Y --at X,Y --at X,Y"
            )
        with opener.scene(wanted_of(options, options.at, Unplaced.PINS)) as scene:
            answer = self.measure(scene, None, None)
        if answer.verdict is None:
            raise ArgumentError(
                "the profile has no pins named white, grey and black; give --at three times"
            )
        return answer

    def report(self, answer: ChipsAnswer) -> Report:
        """The one that asks for most, large; all three below."""
        verdict = answer.verdict
        if verdict is None:
            return Report(
                "three chips",
                UNKNOWN,
                "",
                f"press “{FINDS}”, or set a pin on the white, on the grey and on the black chip",
            )
        worst = max(verdict.chips, key=_weight)
        main, unit, bound = UNKNOWN, unit_of(worst), worst.bound
        if worst.off is not None:
            main = signed_text(worst.off, 2 if unit == "st" and bound is None else 1)
        beside = f"{unit} off"
        if bound is not None:
            beside += f", {bound.value}"
        elif worst.off is not None:
            beside += f"  ·  {pm_text(worst.off_pm, 2 if unit == 'st' else 1)} {unit}"
        else:
            beside = ""
        words, *more = chip_words(verdict)
        return Report(
            typeset(f"{worst.chip.value} chip against {str(worst.target.at).lstrip('+')}"),
            main,
            beside,
            words,
            Tone.ALARM if verdict.is_alarming else Tone.PLAIN,
            tuple(_row(chip) for chip in verdict.chips),
            tuple(more),
            verdict.warnings,
        )

    def figure(self, answer: ChipsAnswer) -> str:
        """The chip that is farthest off, with its unit."""
        report = self.report(answer)
        return f"{report.main} {report.beside.partition('  ')[0]}".strip()

    def layers(self, answer: ChipsAnswer) -> tuple[Layer, ...]:
        """The pins."""
        return (answer.flags,)

    def has_object(self, answer: ChipsAnswer) -> bool:
        """With all three chips."""
        return answer.verdict is not None

    def lines(self, answer: ChipsAnswer) -> list[Line]:
        """A line a chip, what explains them, warnings."""
        verdict, origin = answer.verdict, answer.origin
        assert verdict is not None  # `ask` answers with one
        out = [f"{origin.feed_name}, frame {origin.number}; {origin.profile.curve.name}"]
        out += [_line(chip) for chip in verdict.chips]
        said = chip_words(verdict)
        warnings = (*origin.warnings, *verdict.warnings)
        return [*out, *sentences(said), *notes(warnings, said)]


def _weight(chip: ChipReading) -> tuple[float, float]:
    """How much it asks for: what is not read first, then what is off, then what may be."""
    if chip.off is None:
        return math.inf, 0.0
    rank = {False: 2.0, None: 1.0, True: 0.0}[chip.in_tolerance]
    return rank, abs(chip.off) / chip.target.within.number


def _row(chip: ChipReading) -> Row:
    if chip.off is None:
        return Row(chip.chip.value, UNKNOWN, Tone.ALARM)
    unit = unit_of(chip)
    read = chip.spot.percent if unit == "%" else chip.spot.stops
    number = percent_text(read) if unit == "%" else stops_text(read)
    value = f"{number} {unit}, off {_off(chip)}"
    tone = Tone.ALARM if chip.in_tolerance is False else Tone.PLAIN
    return Row(f"{chip.chip.value}, {_judged(chip)}", value, tone)


def _off(chip: ChipReading) -> str:
    """How far it is off, with the decimals of its unit: percent have one, as a bound does."""
    if chip.off is None or chip.bound is not None or unit_of(chip) == "st":
        return stops_text(chip.off, None, chip.bound)
    return signed_text(chip.off, 1)


def _judged(chip: ChipReading) -> str:
    """Fine or not, or why that cannot be told."""
    if chip.in_tolerance is not None:
        return "fine" if chip.in_tolerance else "OFF"
    if chip.off_pm is not None:
        return "unsure"
    return (chip.spot.unknown or Reason.NOT_READ).words


def _line(chip: ChipReading) -> str:
    spot = chip.spot
    read = (
        percent_words(spot.percent, spot.percent_pm) if unit_of(chip) == "%" else spot_words(spot)
    )
    off = "unknown"
    if chip.off is not None:
        off = f"off {plain(_off(chip))} {unit_of(chip)}"
    within = str(chip.target.within).lstrip("+")
    return (
        f"{chip.chip.value.capitalize():5} {read}, target {chip.target.at} ± {within}, {off}: "
        f"{_judged(chip)}"
    )


INSTRUMENT: Instrument[Any, Any, Any] = Chips()
