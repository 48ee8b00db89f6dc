"""The spot and the range: what every view and every command starts from."""

from firmware.written.declared import Command, options
from firmware.written.options import At, FrameOptions


@options
class SpotOptions(FrameOptions):
    """What `midgrey read` takes; without `at` the centre is read."""

    at: At = ()


COMMAND = Command(
    "read", "Read spots of one frame: stops, percent and what they are worth.", SpotOptions
)
