"""How every object of ``--json`` names where its answer comes from."""

from dataclasses import dataclass, replace

from firmware.answers.cleaner import absent, said
from firmware.answers.origin import Origin


@dataclass(frozen=True, slots=True)
class FeedObject:
    """What was read."""

    name: str = said("the feed as it was asked for")
    width: int = said("pixels")
    height: int = said("pixels")
    bits: int = said("depth of a code, 8 to 16")
    range: str = said(
        '"limited", "full", "stretched" (from limited to full), "squeezed" or "squeezed-twice" '
        "(limited made limited again)"
    )
    matrix: str = said('"BT.709", "BT.601", "BT.2020"')
    components: str = said("\"Y'CbCr\" or \"R'G'B'\"")
    subsampling: str = said('"4:4:4", "4:2:2", "4:2:0"')
    lossy: bool = said("whether a codec that discards detail lies between camera and code")
    frame: int = said("number of the frame, from 0")
    timecode: str | None = said("of footage: time code of the frame; else null")
    timecode_from: str | None = said('"file" where the file gives it, "first frame" where not')
    simulated: bool = said("whether it is the bench, with no camera behind it")


@dataclass(frozen=True, slots=True)
class ProfileObject:
    """What it was read with."""

    name: str | None = said("name of the profile; null where only a curve is known")
    curve: str = said("the published name of its transfer function")
    carriage: str = said('"full" or "narrow": how the curve lies on codes')
    gamut: str | None = absent("what R, G and B mean, where colours are read")


def feed_object(origin: Origin) -> FeedObject:
    """The feed and the frame."""
    signal, code = origin.signal, origin.info.timecode
    return FeedObject(
        name=origin.info.name,
        width=origin.columns,
        height=origin.rows,
        bits=signal.bits,
        range=signal.range.value,
        matrix=signal.matrix.value,
        components=signal.components.value,
        subsampling=signal.subsampling.value,
        lossy=signal.lossy,
        frame=origin.number,
        timecode=origin.timecode,
        timecode_from=None if code is None else code.origin.value,
        simulated=origin.info.is_simulated,
    )


def profile_object(origin: Origin) -> ProfileObject:
    """The profile, without the gamut."""
    profile = origin.profile
    return ProfileObject(origin.profile_name, profile.curve.name, profile.laid.value)


def colour_profile_object(origin: Origin) -> ProfileObject:
    """The profile and the gamut its colours are read in."""
    return replace(profile_object(origin), gamut=origin.gamut.name)
