"""What has happened to the spot, and the codes by which that can be reckoned again."""

from dataclasses import dataclass, field, replace

from firmware.instruments.kept_places import KeptPlaces
from firmware.instruments.scene import Scene
from overlays.errors import OverlayError
from overlays.measure.expose.excursions import Excursions
from overlays.measure.expose.side import Judgement, Side

MOST_OUT = 32
"""Times out whose codes are kept, the newest of them: half a megabyte at the most."""


@dataclass(frozen=True, slots=True, eq=False)
class WentOut:
    """A reading that went out.

    Attributes
    ----------
    before, side:
        The side before it, and its own.
    pm_stops:
        The ± it was judged by, which frames before it had told.
    kept:
        Its codes; None where the reading is of another frame than the one that was there.
    """

    before: Side | None
    side: Side
    pm_stops: float | None
    kept: KeptPlaces | None


@dataclass(frozen=True, slots=True, eq=False)
class Happened:
    """All of it, as one value.

    Attributes
    ----------
    past:
        How often it was out, and how far.
    outs:
        The newest times it went out, oldest first.
    farthest:
        Codes of the reading that was farthest; None where there is none, or its frame was gone.
    """

    past: Excursions = field(default_factory=Excursions)
    outs: tuple[WentOut, ...] = ()
    farthest: KeptPlaces | None = None

    @property
    def places(self) -> tuple[KeptPlaces, ...]:
        """All codes that are there, each once."""
        every = [*(each.kept for each in self.outs), self.farthest]
        return tuple({id(each): each for each in every if each is not None}.values())

    def after(self, judged: Judgement, scene: Scene) -> "Happened":
        """Once another reading, that of the scene, was judged."""
        before, now = self.past, self.past.after(judged, scene.now_ns)
        if now is before:
            return self
        outs, farthest = self.outs, self.farthest
        is_out, is_farther = now.count > before.count, now.farthest_stops != before.farthest_stops
        kept = _codes(scene) if is_out or is_farther else None
        if is_out and now.side is not None:
            went = WentOut(before.side, now.side, judged.pm_stops, kept)
            outs = (*outs, went)[-MOST_OUT:]
        return Happened(now, outs, kept if is_farther else farthest)

    def cleared(self) -> "Happened":
        """Nothing has happened yet."""
        return Happened(self.past.cleared())

    def elsewhere(self) -> "Happened":
        """The spot lies elsewhere, or is read otherwise."""
        return replace(self, past=self.past.elsewhere())


def _codes(scene: Scene) -> KeptPlaces | None:
    """Those of the spot; None where its reading is of a frame before this one."""
    try:
        again = scene.read(scene.place)
    except OverlayError:
        return None
    if scene.spot is None or scene.spot.stops != again.stops:
        return None
    return KeptPlaces.of(scene, (scene.place,))
