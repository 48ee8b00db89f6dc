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
