"""The calls of picamera2 that are made, as types: it has none of its own to check against.

`tests/reference/picamera2.json` records the library's own signatures; tests hold these and the fake
to the record, and the virtual board holds the record to the library.
"""

from types import TracebackType
from typing import Any, Protocol, Self

import numpy as np
import numpy.typing as npt


class Request(Protocol):
    """A picture of the camera, which is the camera's again once it is released."""

    def get_metadata(self) -> dict[str, Any]:
        """What the sensor and the image processor say of it."""
        ...

    def release(self) -> None:
        """Give it back."""
        ...


class Job(Protocol):
    """A request that is on its way."""

    def get_result(self, timeout: float | None = None) -> Request:
        """The completed request; TimeoutError where it takes longer, CancelledError if given up."""
        ...


class Mapped(Protocol):
    """A stream of a request, mapped while it is entered."""

    @property
    def array(self) -> npt.NDArray[np.uint8]:
        """Its bytes."""
        ...

    def __enter__(self) -> Self:
        """Map it."""
        ...

    def __exit__(
        self,
        exc_type: type[BaseException] | None,
        exc_value: BaseException | None,
        exc_traceback: TracebackType | None,
    ) -> None:
        """Let it go."""
        ...


class Mapping(Protocol):
    """picamera2's MappedArray."""

    def __call__(
        self,
        request: Request,
        stream: str,
        reshape: bool = True,
        write: bool = True,
    ) -> Mapped:
        """Map `stream` of `request`, as flat bytes where `reshape` is False."""
        ...


class PiCamera(Protocol):
    """The few calls of Picamera2 that are made."""

    def create_video_configuration(self, **settings: Any) -> dict[str, Any]:  # noqa: ANN401
        """A configuration."""
        ...

    def configure(self, camera_config: dict[str, Any]) -> None:
        """Set it."""
        ...

    def camera_configuration(self) -> dict[str, Any]:
        """What became of it."""
        ...

    def start(self) -> None:
        """Start taking pictures."""
        ...

    def capture_request(self, wait: bool) -> Job:
        """Ask for the next picture, without waiting."""
        ...

    def cancel_all_and_flush(self) -> None:
        """Give up what was asked for: `stop` waits behind it otherwise, for ever if none comes."""
        ...

    def stop(self) -> None:
        """Stop taking pictures."""
        ...

    def close(self) -> None:
        """Let go of the camera."""
        ...
