"""What a feed check found."""

from dataclasses import dataclass

from firmware.answers.origin import Origin
from firmware.instruments.feedcheck.codes_kept import CodesKept
from overlays.draw.moment.layers import PinFlags
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.misread import Misread, misread
from overlays.measure.feedcheck.patch import Coloured, SaturatedPatch
from overlays.measure.feedcheck.readings import Readings
from overlays.measure.feedcheck.tolerances import COLOUR_SHARE
from overlays.measure.feedcheck.verdict import FeedCheck
from overlays.measure.suspicion.suspected import Suspicion
from overlays.signal.signal import Matrix

COMB_WORDS = (
    "a comb means that a box on the way stretched or squeezed the levels at this depth: steps are "
    "lost for good, a level may be off by half a step of the narrower scale, and the range that is "
    "found here is that of the box; let it pass levels as they come"
)


@dataclass(frozen=True, slots=True, eq=False)
class FeedcheckAnswer:
    """A feed check as far as it has come.

    Attributes
    ----------
    origin:
        Of the frame of the grey card; in the view, of the frame that is looked at.
    readings:
        What was read so far.
    now:
        How the feed is read.
    check:
        What they say; None where cap, card or clip is still to be read.
    coloured, matrix:
        Of saturated patches: every name and matrix against them, and the matrix where one alone is
        possible.
    fault:
        Why nothing can be said of the readings; empty where it can.
    kept:
        What was written, in words; empty where nothing was.
    flags:
        The pins as they are drawn.
    suspected:
        A comb in the codes of all frames that were read together; None where there is none.
    patches, colour_share:
        Saturated patches that were read, and how far the camera's own colours may be off.
    codes:
        Of all that was read on the screen.
    """

    origin: Origin
    readings: Readings
    now: Delivery
    check: FeedCheck | None = None
    coloured: tuple[Coloured, ...] = ()
    matrix: Matrix | None = None
    fault: str = ""
    kept: str = ""
    flags: PinFlags = PinFlags(())
    suspected: Suspicion | None = None
    patches: tuple[SaturatedPatch, ...] = ()
    colour_share: float = COLOUR_SHARE
    codes: CodesKept = CodesKept()

    @property
    def chosen(self) -> Delivery | None:
        """The name for what arrives: with patches the nearest to its colour, of those possible."""
        if self.check is None or self.check.chosen is None:
            return None
        likeliest = self.check.groups[0]
        possible = [e.delivery for e in self.coloured if e.possible and e.delivery in likeliest]
        if not possible or self.check.chosen in possible:
            return self.check.chosen
        return possible[0]

    @property
    def matrices(self) -> tuple[Matrix, ...]:
        """Every matrix that the patches leave possible, the nearest first."""
        return tuple(dict.fromkeys(each.matrix for each in self.coloured if each.possible))

    @property
    def doubts(self) -> tuple[str, ...]:
        """What is suspected, and what it means, in sentences without full stops."""
        return () if self.suspected is None else (f"suspected: {self.suspected.words}", COMB_WORDS)

    @property
    def costs(self) -> tuple[Misread, ...]:
        """What it costs to read the feed as it is read now; nothing where that is right."""
        chosen = self.chosen
        if self.check is None or chosen is None or chosen.alike == self.now.alike:
            return ()
        return misread(chosen, self.now, self.check.bits)
