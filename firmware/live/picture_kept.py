"""How the picture is shown, as it is kept over a power cut, and back. Pure."""

from dataclasses import replace

from firmware.kept.document import KeptPicture
from overlays.draw.layout.monitor import TIMES, Monitor, ViewTransform


def kept_picture(monitor: Monitor) -> KeptPicture:
    """What is kept of it: what can be pressed."""
    return KeptPicture(
        transform=monitor.transform.name,
        stop_map=monitor.stop_map,
        flipped=monitor.flipped,
        mirrored=monitor.mirrored,
        frame=monitor.frame,
        factor=monitor.factor,
        times=monitor.times,
        edges=monitor.edges,
    )


def shown_again(usual: Monitor, kept: KeptPicture | None) -> Monitor:
    """As it was kept; what is not there any more is as usual.

    Parameters
    ----------
    usual:
        What the profile in use says.
    kept:
        None where nothing was kept.
    """
    if kept is None:
        return usual
    transforms = {each.name: each for each in ViewTransform}
    return replace(
        usual,
        transform=transforms.get(kept.transform, usual.transform),
        stop_map=kept.stop_map,
        flipped=kept.flipped,
        mirrored=kept.mirrored,
        frame=_inside(kept.frame, len(usual.ratios)),
        factor=_inside(kept.factor, len(usual.factors)),
        times=kept.times if kept.times in TIMES else 1,
        edges=kept.edges,
    )


def _inside(index: int | None, count: int) -> int | None:
    return index if index is not None and index < count else None
