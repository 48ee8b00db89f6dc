"""What pins show of colour: which of them are greys, and what pins of one kind cannot say."""

import math

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

GREY_STOPS = 0.5
"""How far apart the channels of a grey may lie under a light that the camera is not set to: a third
of what lies between tungsten and daylight (1.6 stops of red against blue)."""

SAME_COLOUR_STOPS = 0.05
"""Within which two pins are of one colour: greys of a card set are within 0.02, and two skins
are further apart."""
UNLIKE_STOPS = 0.5
ALIKE_STOPS = 2.0
"""Span of light below which pins carry no contrast: less than half of what lies between a white
and a black of a scene in even light (0.9 to 0.03 of it, 4.9 stops)."""


def alike_sentences(linear: FloatArray, luminance: FloatArray) -> list[str]:
    """What the pins cannot say, since they are of one kind.

    Parameters
    ----------
    linear:
        (pins, 3) linear R, G, B, above 0; at least one pin.
    luminance:
        (pins,) of the same, 0.18 is mid-grey.

    Returns
    -------
    list[str]
        Plain sentences; none where the pins are of all kinds.

    Examples
    --------
    >>> alike_sentences(np.full((1, 3), 0.18), np.array([0.18]))
    ['one grey says nothing of colour: put pins on colours, skin first']
    """
    greys, count = int(np.count_nonzero(colour_of(linear) < GREY_STOPS)), len(linear)
    out = []
    if greys == 0:
        out.append(
            "no pin reads as a grey on camera A: how greys will come out is a guess from colours, "
            "which two cameras see differently; put a pin on a grey card"
        )
    if greys == count:
        which = "one grey says" if greys == 1 else f"{greys} greys say"
        out.append(f"{which} nothing of colour: put pins on colours, skin first")
    span = float(np.ptp(np.log2(luminance)))
    if count > 1 and span < ALIKE_STOPS:
        out.append(
            f"the pins lie within {span:.1f} st of light: they say nothing of contrast; put pins "
            "on white and on something dark"
        )
    return out


def colour_of(linear: FloatArray) -> FloatArray:
    """How coloured pins are: (pins,) stops between their highest and lowest channel.

    Parameters
    ----------
    linear:
        (pins, 3) linear R, G, B, above 0.

    Returns
    -------
    ndarray
        float64, 0 of a grey: from the cast that greys share, where two pins show one.

    Examples
    --------
    >>> colour_of(np.array([[0.18, 0.18, 0.18], [0.36, 0.18, 0.18]])).round(3).tolist()
    [0.0, 1.0]
    """
    stops = np.log2(linear)
    return np.asarray(np.ptp(stops - _cast(stops), axis=1), dtype=np.float64)


def _cast(stops: FloatArray) -> FloatArray:
    """(3,) of the light on greys: two pins of one colour and unlike lightness are greys."""
    sides = stops - stops[:, 1:2]
    found, least = np.zeros(3), math.inf
    for one in range(len(stops)):
        for two in range(one):
            alike = float(np.abs(sides[one] - sides[two]).max()) < SAME_COLOUR_STOPS
            apart = abs(float(stops[one, 1] - stops[two, 1])) > UNLIKE_STOPS
            mean = (sides[one] + sides[two]) / 2.0
            if alike and apart and float(np.ptp(mean)) < least:
                found, least = mean, float(np.ptp(mean))
    return found
