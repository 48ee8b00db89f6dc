"""A profile: one camera and look, as the rest of midgrey uses it."""

from dataclasses import dataclass, field
from pathlib import Path

from firmware.profiles.camera_controls import Camera
from overlays.draw.layout.monitor import Monitor
from overlays.measure.chips.three_chip import Chip, ChipTarget, ChipTargets, usual_targets
from overlays.measure.colour.whitepoint import THREE_STEPS, WhitePoint
from overlays.measure.counting.bands import Band
from overlays.measure.counting.yardstick import Yardstick, yardstick
from overlays.measure.expose.side import USUAL_WITHIN_STOPS, Goal
from overlays.measure.watch.change import Tolerance
from overlays.signal.curves import Curve
from overlays.signal.gamuts import Gamut
from overlays.signal.levels import Carriage
from overlays.signal.quantities import Level, stops
from overlays.signal.signal import Signal, SignalOverride

NO_PROFILE = "no profile"
"""Name of what stands in for a profile where only a curve is known."""

USUAL_SPOT_PERCENT = 4.4
"""Edge of a spot against picture height: 48 pixels at 1080 rows."""

USUAL_SPECK_PERCENT = 0.02
"""Things below this share of the picture do not matter: 415 pixels of 1920x1080."""


@dataclass(frozen=True, slots=True)
class Profile:
    """One camera and look.

    Attributes
    ----------
    name:
        How the user calls it: the name of its file without ending.
    title:
        What it is, for a person.
    curve, carriage:
        The transfer function, and how it lies on codes; None leaves carriage to the curve.
    override:
        What the profile says of range and matrix against the feed.
    target:
        Where the spot should be, usually mid-grey.
    within_stops:
        How far from it, in stops of light, still counts as there.
    clip, floor:
        Highest and lowest level that still carries picture; None takes the curve's own.
    stripes:
        What to stripe, in the order of the file.
    speck_percent:
        Things smaller than this share of the picture do not matter to the range.
    spot_percent:
        Edge of the spot in percent of picture height.
    notes:
        Whatever the author wants to say.
    source_path:
        The file it was read from; None where it was made of a curve alone.
    gamut:
        Primaries of what the camera sends; None takes those published with the curve.
    dial:
        The light the camera's balance is set to; None where nobody said.
    tolerance:
        Largest distance from neutral that counts as balanced, in CIE 1976 u', v'.
    camera:
        Where its exposure controls stand and can be put.
    chips:
        Where white, grey and black belong; those not given are what is usual for the curve.
    watch:
        How far a watched pin may move unremarked.
    pins:
        Places in shares of width and height, by name, in the order of their numbers.
    monitor:
        How the picture is shown; None where it says nothing of that.
    workers:
        How many cores share the work on a frame; None leaves that to the machine.
    cube_file:
        The file beside it that holds a table for the eye; empty where it names none.
    """

    name: str
    title: str
    curve: Curve
    carriage: Carriage | None = None
    override: SignalOverride = field(default_factory=SignalOverride)
    target: Level = field(default_factory=lambda: stops(0.0))
    within_stops: float = USUAL_WITHIN_STOPS
    clip: Level | None = None
    floor: Level | None = None
    stripes: tuple[Band, ...] = ()
    speck_percent: float = USUAL_SPECK_PERCENT
    spot_percent: float = USUAL_SPOT_PERCENT
    notes: str = ""
    source_path: Path | None = None
    gamut: Gamut | None = None
    dial: WhitePoint | None = None
    tolerance: float = THREE_STEPS
    camera: Camera = field(default_factory=Camera)
    chips: tuple[tuple[Chip, ChipTarget], ...] = ()
    watch: Tolerance = field(default_factory=Tolerance)
    pins: tuple[tuple[str, float, float], ...] = ()
    monitor: Monitor | None = None
    workers: int | None = None
    cube_file: str = ""

    @property
    def chip_targets(self) -> ChipTargets:
        """Targets of all three chips."""
        return {**usual_targets(self.curve.family), **dict(self.chips)}

    @property
    def goal(self) -> Goal:
        """Where the spot should be, and what still counts as there."""
        return Goal(self.target, self.within_stops)

    @property
    def laid(self) -> Carriage:
        """The carriage it is read with."""
        return self.curve.carriage if self.carriage is None else self.carriage

    def yardstick(self, signal: Signal, shift: int = 0) -> Yardstick:
        """What to measure frames of a signal with; `shift` as in `Frame`."""
        return yardstick(
            signal, self.curve, self.carriage, clip=self.clip, floor=self.floor, shift=shift
        )


def curve_alone(curve: Curve, carriage: Carriage | None = None) -> Profile:
    """What stands in for a profile where only the curve is known."""
    return Profile(NO_PROFILE, f"{curve.name}, without a profile", curve, carriage)
