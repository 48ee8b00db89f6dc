"""What is said before something is drawn for the first time: meanwhile nothing could be said."""

from collections.abc import Hashable

from firmware.live.freshness import Freshness
from firmware.live.hooks import Hooks
from firmware.live.liveness import PREPARED
from overlays.draw.moment.shown import Face


class Announcing:
    """Remembers what has been drawn; what is drawn first may have to be compiled.

    Parameters
    ----------
    hooks:
        Say whether nothing will have to be compiled, and what is being prepared.
    """

    def __init__(self, hooks: Hooks) -> None:
        self._hooks = hooks
        self._drawn: set[Hashable] = set()

    def before(self, what: Hashable, *, is_first: bool) -> Freshness | None:
        """What to show before that is drawn; None where it can be drawn at once.

        Parameters
        ----------
        what:
            View, trace and kind of picture.
        is_first:
            Whether nothing has been on the screen yet.
        """
        if self._hooks.is_warm() or what in self._drawn:
            return None
        self._drawn.add(what)
        words = f"drawing: {PREPARED}"
        if is_first:
            return Freshness(Face.STARTING, self._hooks.preparing() or words)
        return Freshness(Face.STALLED, words)
