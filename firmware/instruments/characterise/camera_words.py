"""A camera in sentences."""

from overlays.measure.characterise.bracket_steps import Step
from overlays.measure.characterise.camera_found import CameraFound
from overlays.measure.characterise.flicker import StepCause
from overlays.measure.characterise.floor import FLOOR_RATIO
from overlays.measure.characterise.known import KNOWN_STOPS, KnownEnd
from overlays.measure.characterise.misset import FEWEST_STEPS
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
    out.append(_known(found))
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
    out += [words for words in (_light(found), _scatter(found)) if words]
    for near in found.nearest[:1]:
        moved = round(near.shift_stops, 2) + 0.0  # minus nothing is nothing
        out.append(
            f"the nearest published curve is {near.curve}, carriage {near.carriage.value}: off by "
            f"{near.rms_stops:.3f} st in the mean, moved by {moved:+.2f} st"
        )
    return (*out, *outlier_words(found))


def _known(found: CameraFound) -> str:
    """Over which range the curve is known, and why it is not below."""
    known = found.known
    if known.from_stops is None or known.to_stops is None:
        return (
            f"nowhere are the stops of its curve known to {KNOWN_STOPS:g} st: how sure each step "
            f"is stands beside it; {_UNKNOWN_BY[known.end]}"
        )
    said = (
        f"known to {KNOWN_STOPS:g} st is its curve from {known.from_stops:+.1f} to "
        f"{known.to_stops:+.1f} st"
    )
    if known.end is KnownEnd.NONE:
        return said
    below = "below that it is less sure, as stands beside each step"
    return f"{said}; {below}: {_UNKNOWN_BY[known.end]}"


_UNKNOWN_BY = {
    KnownEnd.NONE: "",
    KnownEnd.SAMPLES: "a larger card, or codes of more bits, would tell more",
    KnownEnd.UNSEEN: "noise reaches below black there, and what the camera sends of that does not "
    "show; a larger card would not tell it",
    KnownEnd.CUT: "black lies at or under the lowest code that the link carries, and what is cut "
    "off nothing tells",
}


def _light(found: CameraFound) -> str:
    """Light that is seen to flicker; nothing else is said of it by itself."""
    light = found.light
    if light.swing_stops is None:
        return ""
    return (
        f"the light flickers: from frame to frame it swings by ±{light.swing_stops:.2f} st, seen "
        f"at {light.seen_at} of {light.looked_at} steps, as lamps on the mains beat with the frame "
        "rate; each of those is the mean of its frames, and the ± holds what that leaves"
    )


def _scatter(found: CameraFound) -> str:
    """How far steps scatter, and what makes them, as far as that is known."""
    if found.scatter_stops == 0.0:
        return ""
    what = "settings that are a little off or light that flickers make"
    if found.light.swing_stops is not None:
        what = "what flicker leaves in a mean, or settings that are a little off, make"
    elif found.light.is_ruled_out:
        what = "settings that are a little off make"
    return (
        f"the steps scatter by {found.scatter_stops:.3f} st about a smooth curve, as {what} them; "
        "the ± holds that too"
    )


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
    if not doubtful:
        return _named(found)
    others = sum(step.is_used and not step.is_doubtful for step in found.steps)
    if doubtful[0].is_used and others >= FEWEST_STEPS:
        said = (
            f"{len(doubtful)} of {len(found.steps)} steps are in doubt, too many to be single ones "
            "that were mis-set: settings are off, or the light flickers, at all of them; all are "
            "used, and the ± holds how far they scatter"
        )
        return (said, *_named(found))
    stops = [f"{step.stops:+.2f}" for step in doubtful]
    which = f"{', '.join(stops[:-1])} and {stops[-1]} st" if len(stops) > 1 else f"{stops[0]} st"
    kept = "" if not doubtful[0].is_used else "; too few others are left to do without them"
    said = (
        f"of the steps of {which} at least one {_why(doubtful[0])}, and which cannot be told: "
        f"read them again, in third stops if you can{kept}"
    )
    return (said, *_named(found))


def _why(step: Step) -> str:
    return (step.cause or StepCause.EITHER).value


def _named(found: CameraFound) -> tuple[str, ...]:
    return tuple(
        f"the step of {step.stops:+.2f} st lies {step.off_stops or 0.0:+.2f} st beside its "
        f"neighbours: it {_why(step)}; it is left out"
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
