"""The codes of what a feed check read, so that a mark can show its numbers again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from firmware.instruments.kept_places import KeptPlaces
from firmware.instruments.scene import Scene
from overlays.measure.chart.reference import BUILT_IN
from overlays.measure.feedcheck.patch import SaturatedPatch
from overlays.measure.feedcheck.readings import What
from overlays.measure.spot.spot import SpotPlace

PlacedPatch = tuple[SaturatedPatch, SpotPlace]


@dataclass(frozen=True, slots=True, eq=False)
class PatchesKept:
    """Patches of one frame, each with its place, and the frame's codes there."""

    patches: tuple[PlacedPatch, ...]
    kept: KeptPlaces


@dataclass(frozen=True, slots=True, eq=False)
class CodesKept:
    """Of each reading and of the patches, in the order in which they were taken."""

    readings: Mapping[What, KeptPlaces] = field(default_factory=dict)
    patches: tuple[PatchesKept, ...] = ()

    def read(self, what: What, scene: Scene) -> "CodesKept":
        """With one reading more: its spot, and how many pixels lie at each level."""
        kept = KeptPlaces.of(scene, (scene.place,), is_counted=True)
        return replace(self, readings={**self.readings, what: kept})

    def without(self, what: What) -> "CodesKept":
        """With one reading less."""
        left = {key: kept for key, kept in self.readings.items() if key is not what}
        return replace(self, readings=left)

    def patched(self, found: Sequence[PlacedPatch], scene: Scene) -> "CodesKept":
        """With patches of one frame more; those of a chart that is not built in are left out."""
        known = tuple(each for each in found if each[0].chart in BUILT_IN)
        kept = KeptPlaces.of(scene, [place for _, place in known])
        return replace(self, patches=(*self.patches, PatchesKept(known, kept)))
