"""What a spot has to say of itself, in sentences."""

from overlays.measure.spot.quantiser import WIDE_ENOUGH
from overlays.wording.numbers import share_text
from overlays.wording.reasons import Reason

NAMED_SHARE = 0.05
"""Of what is clipped in the fullest channel, from which on another is named beside it: a few stray
pixels that come and go from frame to frame are no news."""


def clipping_sentences(
    share: float, clipped: tuple[float, float, float], lost: Reason | None, speck: float
) -> tuple[str, ...]:
    """Of clipping, where there is anything to be said of it.

    Parameters
    ----------
    share, clipped:
        Clipped in any channel, and in R', G', B'.
    lost:
        What clipping leaves unknown; None where the ± holds it.
    speck:
        Share up to which it is then not worth a word.

    Returns
    -------
    tuple[str, ...]
        Sentences without a full stop; none or one.

    Examples
    --------
    >>> clipping_sentences(0.25, (0.25, 0.0, 0.0), None, speck=0.002)
    ('25 % of the spot is clipped (R): no more than its noise explains, and the ± holds it',)
    """
    least = NAMED_SHARE * max(clipped)
    channels = "".join(n for n, each in zip("RGB", clipped, strict=True) if each > least)
    what = f"{share_text(share)} % of the spot is clipped ({channels}): "
    if lost is not None:
        return (f"{what}the true light is higher, by how much cannot be said",)
    return (f"{what}no more than its noise explains, and the ± holds it",) if share > speck else ()


def codec_sentences(is_guessed: bool, edge: int) -> tuple[str, ...]:
    """Of a codec of which a small spot does not show how coarse it was.

    Parameters
    ----------
    is_guessed:
        Whether it left too little to tell, here and beside it (`PlaneError.is_codec_guessed`).
    edge:
        Pixels of the spot, the shorter way.

    Returns
    -------
    tuple[str, ...]
        Sentences without a full stop; none or one.

    Examples
    --------
    >>> codec_sentences(True, 32), codec_sentences(False, 16)
    ((), ())
    >>> codec_sentences(True, 16)[0][:40]
    'compression left next to nothing here an'
    """
    if not is_guessed or edge >= WIDE_ENOUGH:
        return ()
    said = (
        "compression left next to nothing here and beside it: the ± holds where it is too fine to "
        "be seen; how coarse it is, so small a spot does not tell: use "
        f"{WIDE_ENOUGH} pixels or more"
    )
    return (said,)


def unknown_sentences(reason: Reason | None, cut: str) -> tuple[str, ...]:
    """Why there are no stops, or no ± beside them; nothing of what clipping says already.

    Parameters
    ----------
    reason:
        Why; None where nothing is unknown.
    cut:
        Where the spot's noise is cut off, in words; empty where it is not.

    Returns
    -------
    tuple[str, ...]
        Sentences without a full stop; none or one.

    Examples
    --------
    >>> unknown_sentences(Reason.NO_LIGHT, "")
    ('no light above black: the spot has no reading in stops',)
    """
    if reason is Reason.NO_LIGHT:
        return ("no light above black: the spot has no reading in stops",)
    if cut:
        said = f"the spot's noise is cut off at {cut}: the true light is no more than that, "
        return (f"{said}by how much less cannot be said",)
    if reason is Reason.DOWN_TO_NO_LIGHT:
        return ("the ± reaches down to no light: the reading in stops has no lower bound",)
    return ()
