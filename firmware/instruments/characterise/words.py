"""A camera in sentences."""

from overlays.measure.characterise.camera import CameraFound
from overlays.measure.characterise.floor import FLOOR_RATIO
from overlays.measure.characterise.steps import Step
from overlays.measure.feedcheck.tolerances import METERED_STOPS


def camera_words(found: CameraFound) -> tuple[str, ...]:
    """What was found, in sentences without full stops."""
    out = [
        f"clip {found.clip_stops:+.2f} ±{found.clip_stops_pm:.2f} st from mid-grey",
        _floor(found),
    ]
    if found.floor_stops is None:
        out.append(f"usable range at least {found.usable_stops:.1f} st, from the darkest step on")
    else:
        out.append(f"usable range {found.usable_stops:.1f} st from floor to clip")
    kind = "log parameters" if found.fit.parameters is not None else "a table of points"
    out.append(
        f"the curve is given by {kind}; the steps lie within {found.fit.largest_off_stops:.3f} st "
        f"of it, and its stops are sure to ±{found.curve_pm_stops:.3f} in the middle of them, "
        f"±{found.least_sure[1]:.3f} at {found.least_sure[0]:+.1f} st, where they are least sure"
    )
    out.append(
        f"mid-grey itself is as sure as the card was metered, ±{METERED_STOPS:g} st: that moves "
        "all of it alike"
    )
    if found.scatter_stops > 0.0:
        out.append(
            f"the steps scatter by {found.scatter_stops:.3f} st about a smooth curve, as settings "
            "that are a little off or light that flickers make them; the ± holds that too"
        )
    for near in found.nearest[:1]:
        out.append(
            f"the nearest published curve is {near.curve}, carriage {near.carriage.value}: off by "
            f"{near.rms_stops:.3f} st in the mean, moved by {near.shift_stops:+.2f} st"
        )
    return (*out, *outlier_words(found))


def step_words(step: Step) -> str:
    """What is said of a step in a table; empty where nothing is."""
    if step.is_clipped:
        return "clipped"
    if step.is_sunk:
        return "on the lowest code, left out"
    if step.is_outlier:
        return "mis-set, left out"
    if step.is_doubtful:
        return "in doubt, used" if step.is_used else "in doubt, left out"
    return ""


def outlier_words(found: CameraFound) -> tuple[str, ...]:
    """Steps that no smooth curve explains, and those of which one is such."""
    doubtful = found.doubtful
    said = []
    if doubtful:
        stops = [f"{step.stops:+.2f}" for step in doubtful]
        which = (
            f"{', '.join(stops[:-1])} and {stops[-1]} st" if len(stops) > 1 else f"{stops[0]} st"
        )
        kept = "" if not doubtful[0].is_used else "; too few others are left to do without them"
        said.append(
            f"of the steps of {which} at least one was mis-set, or the light flickered, and which "
            f"cannot be told: read them again, in third stops if you can{kept}"
        )
    return (*said, *_named(found))


def _named(found: CameraFound) -> tuple[str, ...]:
    return tuple(
        f"the step of {step.stops:+.2f} st lies {step.off_stops or 0.0:+.2f} st beside its "
        "neighbours: it was mis-set, or the light flickered; it is left out"
        for step in found.outliers
    )


def _floor(found: CameraFound) -> str:
    ratio = f"where light is {FLOOR_RATIO:g} times the noise of a pixel"
    if found.floor_stops is None:
        return (
            f"the floor, {ratio}, is not known: it lies below {found.darkest:+.1f} st, the darkest "
            "step that tells light from black, or noise and curve are not known well enough"
        )
    how = "" if found.floor_is_seen else ", told by the noise of the cap alone"
    return f"floor {found.floor_stops:+.1f} ±{found.floor_pm_stops or 0.0:.1f} st, {ratio}{how}"
