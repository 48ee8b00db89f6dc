"""The faults `overlays` can report: one root, and the class name is the fault."""


class OverlayError(Exception):
    """Root of every fault of `overlays`; the message is one sentence a camera crew can act on."""


class UnknownCurveError(OverlayError, KeyError):
    """No published curve has the name asked for."""

    def __str__(self) -> str:
        # KeyError would print the repr of the sentence.
        return str(self.args[0])


class UnknownGamutError(OverlayError, KeyError):
    """No published gamut has the name asked for."""

    def __str__(self) -> str:
        # KeyError would print the repr of the sentence.
        return str(self.args[0])


class CurveParameterError(OverlayError, ValueError):
    """The parameters of a custom log curve cannot make a curve."""


class FrameLayoutError(OverlayError, ValueError):
    """A buffer cannot hold the frame it is said to hold."""


class SpotOutsideError(OverlayError, ValueError):
    """A spot does not lie wholly inside the picture."""


class BandError(OverlayError, ValueError):
    """A stripe band is impossible (empty, inverted or outside what the curve carries)."""


class DrawingError(OverlayError, ValueError):
    """Something cannot be drawn where it was asked to be."""


class ChartError(OverlayError, ValueError):
    """What is in the picture is no chart that can be read; the root of the chart's faults."""


class ChartPlaceError(ChartError):
    """The corners of a chart cannot be right, or its patches are too small."""


class ChartNotFoundError(ChartError, LookupError):
    """No chart was found in the picture."""


class ChartTurnedError(ChartError):
    """A chart stands upside down or is seen in a mirror."""


class ChartShadowError(ChartError):
    """A shadow, or light too uneven, lies across the chart."""


class ChartFileError(OverlayError, ValueError):
    """A file of reference colours cannot be understood; the message names the line."""


class UnknownPatchError(OverlayError, ValueError):
    """No patch of that name has a colour that is known."""


class ReadingsOrderError(OverlayError, ValueError):
    """Cap, card and clip cannot be what they are said to be: they do not rise."""


class TooFewStepsError(OverlayError, ValueError):
    """Too little is left of a bracket to make a curve of."""


class CubeError(OverlayError, ValueError):
    """A `.cube` file cannot be understood; the message names the line."""
