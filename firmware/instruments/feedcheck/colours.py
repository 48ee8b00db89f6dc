"""What saturated patches say of the matrix, in sentences, and which patch would say more."""

from functools import lru_cache

from firmware.instruments.feedcheck.answer import FeedcheckAnswer
from firmware.instruments.feedcheck.judged_readings import gamut_for
from overlays.measure.chart.reference import CHART24
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.patch import telling_patch
from overlays.signal.gamuts import Gamut
from overlays.signal.signal import Components, Matrix, Signal
from overlays.wording.numbers import share_text

MOST_NAMED = 4
"""Patches that a sentence names."""


@lru_cache(maxsize=64)
def _telling(
    of: Delivery,
    matrices: tuple[Matrix, ...],
    signal: Signal,
    read: frozenset[str],
    gamut: Gamut,
) -> tuple[str, float] | None:
    """A view asks at every frame, and it is always the same until another patch is read."""
    return telling_patch(of, matrices, signal, read, gamut)


def next_patch(answer: FeedcheckAnswer) -> tuple[str, float] | None:
    """The patch to read next, and how far it tells two matrices apart; None where none helps."""
    origin, chosen = answer.origin, answer.chosen
    if chosen is None or origin.signal.components is Components.RGB:
        return None
    left = tuple(answer.matrices) if answer.coloured else tuple(Matrix)
    if len(left) < 2:
        return None
    read = frozenset(each.patch for each in answer.patches)
    if any(each.chart is not CHART24 for each in answer.patches):
        return None  # a whole chart was read, of which all that tells is known
    return _telling(chosen, left, origin.signal, read, gamut_for(chosen, origin))


def colour_words(answer: FeedcheckAnswer) -> tuple[str, ...]:
    """What is known of the matrix, in sentences without full stops."""
    if answer.origin.signal.components is Components.RGB:
        return ()
    if not answer.coloured:
        return ("greys say nothing of the matrix: patches of a chart, --patch or --chart, may",)
    if answer.matrix is not None:
        wrong = wrong_matrix_words(answer)
        fits = f"{_patches(answer)} fit matrix {answer.matrix.value} alone"
        return (f"{fits}; {wrong}" if wrong else fits,)
    return _undecided(answer) if answer.matrices else (_unfitting(answer),)


def wrong_matrix_words(answer: FeedcheckAnswer) -> str:
    """What the matrix that the feed is read with costs; empty where it is right or not known."""
    now, found = answer.origin.signal.matrix, answer.matrix
    if found is None or found is now:
        return ""
    off = [each for each in answer.coloured if each.matrix is now]
    nearest = min(off, key=lambda each: each.off_share)
    return (
        f"it is read by {now.value}, and {nearest.worst} is off by "
        f"{share_text(nearest.off_share)} % of its light"
    )


def _patches(answer: FeedcheckAnswer) -> str:
    """Which were read: "the patches red and green"."""
    names = list(dict.fromkeys(each.patch for each in answer.patches))
    if len(names) > MOST_NAMED:
        return f"colours of {len(names)} patches"
    if len(names) == 1:
        return f"colours of the {names[0]} patch"
    return f"colours of the patches {', '.join(names[:-1])} and {names[-1]}"


def _unfitting(answer: FeedcheckAnswer) -> str:
    """No matrix is possible: by how much the nearest is off, and where."""
    nearest = answer.coloured[0]
    return (
        f"{_patches(answer)} fit no matrix: the nearest is off by "
        f"{share_text(nearest.off_share)} % on {nearest.worst}; is each the patch it is said to "
        "be, and the balance set?"
    )


def _undecided(answer: FeedcheckAnswer) -> tuple[str, ...]:
    """More than one matrix is possible: which, and what would tell."""
    named = " and ".join(each.value for each in answer.matrices)
    said = (
        f"{_patches(answer)} do not decide the matrix: {named} are within what a camera's own "
        f"colours are off ({share_text(answer.colour_share)} %)"
    )
    telling = next_patch(answer)
    if telling is None:
        last = (
            "no other patch would tell more, unless you know the camera's own colours better "
            "(--colours-within); `midgrey chart` says which matrix fits a whole chart best"
        )
    else:
        last = (
            f"of the patches left {telling[0]} tells two of them farthest apart, by "
            f"{share_text(telling[1])} %"
        )
    return said, last
