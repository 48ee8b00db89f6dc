"""The kernel's refusals as sentences a camera crew can act on."""

import errno

from firmware.errors import FeedFormatError, FeedNotFoundError, FirmwareError

GONE = frozenset({errno.ENODEV, errno.ENOENT, errno.ENXIO, errno.EBADF, errno.EIO})
"""The device was pulled out, or its driver has given it up."""

NOT_NOW = GONE | {errno.EACCES, errno.EBUSY, errno.ENOTTY}
"""A device that is coming back may answer these until it is set up."""

_NOTHING = "no capture device at {path}; `midgrey doctor` lists those found"

_SENTENCES: dict[int, tuple[type[FirmwareError], str]] = {
    errno.ENOENT: (FeedNotFoundError, _NOTHING),
    errno.ENXIO: (FeedNotFoundError, _NOTHING),
    errno.ENODEV: (FeedNotFoundError, _NOTHING),
    errno.EACCES: (
        FeedNotFoundError,
        "{path} may not be opened by this user; add the user to the group video",
    ),
    errno.EBUSY: (FeedFormatError, "{path} is in use by another program; stop that one first"),
    errno.ENOTTY: (
        FeedFormatError,
        "{path} is no capture device; `midgrey doctor` lists those found",
    ),
    errno.EPIPE: (
        FeedFormatError,
        "{path} will not start: the formats along its media graph do not agree",
    ),
    errno.ENOMEM: (
        FeedFormatError,
        "{path} finds too little memory for its pictures; raise `cma=` in the boot configuration",
    ),
    errno.ENOSPC: (
        FeedFormatError,
        "{path} finds the USB bus full; unplug another stick or use a USB 3 port",
    ),
}


def refusal(path: str, fault: OSError) -> FirmwareError:
    """What to raise for a failed request on `path`."""
    kind, sentence = _SENTENCES.get(fault.errno or 0, (FeedFormatError, ""))
    return kind(sentence.format(path=path) or f"{path} failed: {fault.strerror or fault}")
