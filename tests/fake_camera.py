"""A camera as picamera2 hands it out, by what the library's own source says it does.

Requests come as jobs; jobs wait in a row, and `stop` is one of them. Names and defaults of
parameters are held to `tests/reference/picamera2.json`.
"""

from concurrent.futures import CancelledError

import numpy as np

from firmware.feeds.camera_settled import BUFFERS

ROWS, COLUMNS, STRIDE = 8, 12, 32
FIRST_CODE = 50


class StuckError(AssertionError):
    """The library would wait here for ever."""


class FakeRequest:
    def __init__(self, camera, number):
        self.camera, self.number, self.released = camera, number, 0
        camera.out += 1
        rows = ROWS * 3 // 2 if camera.stream == "main" else ROWS
        # Memory for a frame is more than it takes, by whole pages.
        self.bytes = np.zeros(rows * camera.stride + 100, np.uint8)
        lines = self.bytes[: ROWS * camera.stride].reshape(ROWS, camera.stride)
        lines[:, : 2 * COLUMNS] = FIRST_CODE + number
        chroma = self.bytes[ROWS * camera.stride : rows * camera.stride]
        if camera.format == "NV12":
            chroma[0::2], chroma[1::2] = 100, 200
        elif camera.stream == "main":
            chroma[: chroma.size // 2], chroma[chroma.size // 2 :] = 100, 200

    def get_metadata(self):
        told = {"SensorTimestamp": 1_000_000 * self.number}
        if self.camera.tells:
            told |= {"FrameDuration": 40_000, "SensorBlackLevels": (4096, 4096, 4096, 4096)}
        return told

    def release(self):
        self.released += 1
        assert self.released == 1
        self.camera.out -= 1


class FakeJob:
    def __init__(self, camera):
        self.camera, self.request, self.is_cancelled = camera, None, False

    def get_result(self, timeout=None):
        assert timeout is not None, "waits for ever"
        camera = self.camera
        if self.is_cancelled:
            raise CancelledError
        if self.request is None:
            if camera.silent or camera.out >= BUFFERS or not camera.is_started:
                raise TimeoutError
            camera.number += 1
            camera.jobs.remove(self)
            self.request = FakeRequest(camera, camera.number)
        return self.request


class FakeCamera:
    """Picamera2 as far as it is used.

    `format` is what it settles on, None where it has no such stream; `tells` whether its pictures
    carry more than a time; `refuses` is raised where it is started.
    """

    def __init__(
        self,
        stream="main",
        format=None,  # noqa: A002 - as the library calls it
        *,
        silent=False,
        size=(COLUMNS, ROWS),
        tells=True,
        refuses=None,
        has_raw=True,
    ):
        self.stream, self.silent, self.size, self.tells = stream, silent, size, tells
        self.format = format or ("YUV420" if stream == "main" else "SRGGB16")
        self.stride, self.refuses, self.has_raw = STRIDE, refuses, has_raw
        self.calls, self.jobs = [], []
        self.out = self.number = self.asked = 0
        self.is_started = False

    def create_video_configuration(self, main={}, raw={}, buffer_count=6):  # noqa: B006
        self.calls.append(("create", {"main": main, "raw": raw, "buffer_count": buffer_count}))
        return {"main": main, "raw": raw, "buffer_count": buffer_count}

    def configure(self, camera_config=None):
        self.calls.append(("configure", camera_config))

    def camera_configuration(self):
        read = {"size": self.size, "stride": self.stride, "format": self.format}
        return {
            "main": read if self.stream == "main" else {**read, "format": "YUV420"},
            "raw": (read if self.stream == "raw" else None) if self.has_raw else None,
        }

    def start(self):
        self.calls.append(("start",))
        if self.refuses is not None:
            raise self.refuses
        self.is_started = True

    def capture_request(self, wait=None):
        assert wait is False, "waits for ever"
        self.asked += 1
        job = FakeJob(self)
        self.jobs.append(job)
        return job

    def cancel_all_and_flush(self):
        for job in self.jobs:
            job.is_cancelled = True
        self.jobs.clear()

    def stop(self):
        self.calls.append(("stop",))
        if self.is_started and self.jobs:
            raise StuckError("stop waits behind a request that never comes")
        self.is_started = False

    def close(self):
        if self.is_started:
            self.stop()
        self.calls.append(("close",))


class FakeMapped:
    """MappedArray: flat bytes of a stream, all of its memory, or rows where `reshape` is asked."""

    open_count = 0

    def __init__(self, request, stream, reshape=True, write=True):
        assert stream == request.camera.stream
        assert not write, "mapped for writing"
        stride = request.camera.stride
        rows = request.bytes.size // stride
        shaped = request.bytes[: rows * stride].reshape(rows, stride)
        self.array = shaped if reshape else request.bytes

    def __enter__(self):
        FakeMapped.open_count += 1
        return self

    def __exit__(self, exc_type, exc_value, exc_traceback):
        FakeMapped.open_count -= 1
