"""What presses do in the views of colour. Pure, as all of the state.

The few controls mean there: in the balance view + and − move the camera's present setting, M keeps
or drops a ghost; tab is the gain of the chroma trace wherever that is shown; in the chart view tab
chooses a corner, the moves of the spot move it, C gives the chart back to be looked for.
"""

from dataclasses import dataclass, replace

from overlays.draw.chroma.graticule import GAINS
from overlays.draw.layout.views import WITH_CHROMA, View
from overlays.measure.colour.whitepoint import WhitePoint

Offset = tuple[float, float]

USUAL_DIAL_KELVIN = 5600.0
"""Where an unknown setting starts when it is moved: daylight (common practice, no source)."""
DIAL_STEP_KELVIN = 100.0
LEAST_DIAL, MOST_DIAL = 2000.0, 12000.0
COARSE_SHARE = 80
"""A coarse step of a corner is picture width divided by this."""


@dataclass(frozen=True, slots=True)
class Colouring:
    """What the views of colour are set to.

    Attributes
    ----------
    gain:
        Of the chroma trace.
    ghosts:
        How often a ghost was kept or dropped; odd while one is kept.
    dial_kelvin:
        The camera's setting as moved on the screen; None leaves it to the profile.
    offsets:
        How far each corner of the chart was moved by hand, in pixels of the feed; None while the
        chart is looked for.
    corner:
        The one that is moved.
    """

    gain: int = 1
    ghosts: int = 0
    dial_kelvin: float | None = None
    offsets: tuple[Offset, Offset, Offset, Offset] | None = None
    corner: int = 0

    def dial(self, of_profile: WhitePoint | None) -> WhitePoint | None:
        """The light the camera is set to, as far as anyone said."""
        if self.dial_kelvin is None:
            return of_profile
        return WhitePoint(self.dial_kelvin, 0.0 if of_profile is None else of_profile.duv)


_MOVES = {"LEFT": (-1, 0), "RIGHT": (1, 0), "UP": (0, -1), "DOWN": (0, 1)}


def pressed(
    colour: Colouring, view: View, press: str, columns: int, of_profile: WhitePoint | None
) -> Colouring | None:
    """The settings after a press by its name; None where it means nothing special here."""
    if view in WITH_CHROMA and press == "NEXT_STRIPE":
        return replace(colour, gain=GAINS[(GAINS.index(colour.gain) + 1) % len(GAINS)])
    if view is View.BALANCE:
        return _in_balance(colour, press, of_profile)
    if view is View.CHART:
        return _in_chart(colour, press, columns)
    return None


def _in_balance(colour: Colouring, press: str, of_profile: WhitePoint | None) -> Colouring | None:
    if press == "MARK":
        return replace(colour, ghosts=colour.ghosts + 1)
    by = {"STRIPE_UP": 1, "STRIPE_DOWN": -1}.get(press)
    if by is None:
        return None
    now = colour.dial(of_profile)
    if now is None:  # the first press says what it starts from
        return replace(colour, dial_kelvin=USUAL_DIAL_KELVIN)
    # On whole hundreds, as dials are.
    steps = round(now.kelvin / DIAL_STEP_KELVIN) + by
    kelvin = min(max(steps * DIAL_STEP_KELVIN, LEAST_DIAL), MOST_DIAL)
    return replace(colour, dial_kelvin=kelvin)


def _in_chart(colour: Colouring, press: str, columns: int) -> Colouring | None:
    if press == "NEXT_STRIPE":
        return replace(colour, corner=(colour.corner + 1) % 4)
    if press == "SPOT_CENTRE":
        return replace(colour, offsets=None)
    word, _, rest = press.partition("_")
    way, _, fine = rest.partition("_")
    if word != "SPOT" or way not in _MOVES:
        return None
    step = 1.0 if fine else float(max(columns // COARSE_SHARE, 2))
    moved = list(colour.offsets or ((0.0, 0.0),) * 4)
    x, y = moved[colour.corner]
    across, down = _MOVES[way]
    moved[colour.corner] = (x + across * step, y + down * step)
    return replace(colour, offsets=(moved[0], moved[1], moved[2], moved[3]))
