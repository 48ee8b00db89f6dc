"""The spot and the range: what every view and every command starts from."""

from dataclasses import dataclass

from firmware.written.declared import Command
from firmware.written.options import At, FrameOptions


@dataclass(frozen=True, kw_only=True)
class SpotOptions(FrameOptions):
    """What `midgrey read` takes; without `at` the centre is read."""

    at: At = ()


COMMAND = Command(
    "read", "Read spots of one frame: stops, percent and what they are worth.", SpotOptions
)
