"""The gamut that a curve's R, G and B are read in where nobody says."""

from typing import Protocol

from overlays.signal.gamuts import Gamut, published_gamut

_ASSUMED = published_gamut("BT.709")


class OfCurve(Protocol):
    """What a curve says of its gamut."""

    @property
    def gamut(self) -> Gamut | None:
        """The one published together with it; None where none was."""
        ...


def is_gamut_assumed(curve: OfCurve) -> bool:
    """Whether no gamut was published with the curve, so that BT.709 is only a guess.

    Parameters
    ----------
    curve:
        Published, with its gamut or None.

    Returns
    -------
    bool
        True where `default_gamut` guesses.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> is_gamut_assumed(published_curve("V-Log")), is_gamut_assumed(published_curve("Cineon"))
    (False, True)
    """
    return curve.gamut is None


def default_gamut(curve: OfCurve) -> Gamut:
    """The gamut published together with a curve; BT.709 where none is.

    Parameters
    ----------
    curve:
        Published, with its gamut or None.

    Returns
    -------
    Gamut
        Primaries and white.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> default_gamut(published_curve("V-Log")).name, default_gamut(published_curve("Cineon")).name
    ('V-Gamut', 'BT.709')
    """
    return curve.gamut or _ASSUMED
