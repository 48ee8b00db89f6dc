"""What a camera is asked for, and what it settles on: sizes and formats are its own choice."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from firmware.errors import FeedFormatError
from firmware.feeds.camera_calls import PiCamera
from firmware.feeds.camera_options import CameraOptions, CameraStream
from firmware.feeds.camera_raw import Bayer, bayer_of
from overlays.signal.frame import Planes, planar, semi_planar_420
from overlays.signal.signal import Signal, Subsampling

BUFFERS = 4
"""Few: memory for the camera is short on small boards, and fails when asked for again."""

PICTURES: dict[str, Callable[..., Planes]] = {"YUV420": planar, "NV12": semi_planar_420}
"""How a picture may lie in memory, by libcamera's names: the first is asked for, other cameras than
the board's own settle on the second."""


@dataclass(frozen=True, slots=True)
class Settled:
    """The stream that is read, as the camera hands it out.

    Attributes
    ----------
    columns, rows, stride:
        Of the stream: pixels, pixels, bytes from row to row.
    format:
        By libcamera's name; one of `PICTURES`, or unpacked counts of a sensor.
    bayer:
        How such counts lie; None for a picture.
    """

    columns: int
    rows: int
    stride: int
    format: str
    bayer: Bayer | None = None

    @property
    def size(self) -> tuple[int, int]:
        """(columns, rows) of what is measured: of counts, half of each."""
        if self.bayer is None:
            return self.columns, self.rows
        return self.columns // 2, self.rows // 2

    @property
    def signal(self) -> Signal:
        """How its codes are to be read: limited range BT.709 is what video of HD size is given."""
        return Signal(subsampling=Subsampling.S420) if self.bayer is None else self.bayer.signal

    def planes(self, array: npt.NDArray[np.uint8]) -> Planes:
        """Views on the flat bytes of a request."""
        data = array.reshape(-1).view(np.uint8)
        if self.bayer is not None:
            return self.bayer.planes(data, self.rows, self.columns, self.stride)
        return PICTURES[self.format](data, self.rows, self.columns, stride=self.stride)


def configuration(camera: PiCamera, options: CameraOptions) -> dict[str, Any]:
    """What a camera is asked for: few buffers, an unpacked stream of what is read."""
    settings: dict[str, object] = {
        "main": {"size": options.size, "format": next(iter(PICTURES))},
        "buffer_count": BUFFERS,
    }
    if options.stream is CameraStream.RAW:
        # Without an unpacked format a Pi 5 would hand over a compressed one.
        settings["raw"] = {"format": "SRGGB16"}
    return camera.create_video_configuration(**settings)


def settled(became: dict[str, Any], options: CameraOptions) -> Settled:
    """What became of it.

    Parameters
    ----------
    became:
        The camera's own account of its streams.

    Raises
    ------
    FeedFormatError
        It has no such stream, or one that cannot be measured.
    """
    is_raw = options.stream is CameraStream.RAW
    found: dict[str, Any] | None = became.get("raw" if is_raw else "main")
    if found is None:
        raise FeedFormatError(
            "camera:raw: this camera hands out no counts of its sensor, as no USB camera does; "
            "use camera"
        )
    columns, rows = (int(edge) for edge in found["size"])
    name = str(found["format"])
    if not is_raw and name not in PICTURES:
        raise FeedFormatError(
            f"camera: its picture comes as {name}, which are not the codes of a camera's video; "
            f"{' or '.join(PICTURES)} is needed"
        )
    return Settled(columns, rows, int(found["stride"]), name, bayer_of(name) if is_raw else None)
