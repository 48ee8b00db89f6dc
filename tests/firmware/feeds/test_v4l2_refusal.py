import errno
import os

import pytest

from firmware.errors import FeedFormatError, FeedNotFoundError
from firmware.feeds.v4l2_refusal import refusal


@pytest.mark.parametrize(
    ("number", "kind", "remedy"),
    [
        (errno.ENOENT, FeedNotFoundError, "midgrey doctor"),
        (errno.EACCES, FeedNotFoundError, "group video"),
        (errno.EBUSY, FeedFormatError, "another program"),
        (errno.ENOTTY, FeedFormatError, "no capture device"),
        (errno.EPIPE, FeedFormatError, "media graph"),
        (errno.ENOMEM, FeedFormatError, "cma="),
        (errno.ENOSPC, FeedFormatError, "USB 3"),
        (errno.EPROTO, FeedFormatError, "Protocol error"),
    ],
)
def test_refusal_names_device_and_remedy(number, kind, remedy):
    fault = refusal("/dev/video3", OSError(number, os.strerror(number)))
    assert type(fault) is kind
    assert "/dev/video3" in str(fault)
    assert remedy in str(fault)
