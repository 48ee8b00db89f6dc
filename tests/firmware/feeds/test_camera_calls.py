"""What is called, and the fake, against the library's own signatures (recorded from its source)."""

import inspect
import json

import pytest

from firmware.feeds import camera_calls
from tests.fake_camera import FakeCamera, FakeJob, FakeMapped, FakeRequest
from tests.places import ROOT

RECORD = json.loads((ROOT / "tests/reference/picamera2.json").read_text())["calls"]
OURS = {
    "Picamera2": (camera_calls.PiCamera, FakeCamera),
    "Job": (camera_calls.Job, FakeJob),
    "CompletedRequest": (camera_calls.Request, FakeRequest),
    "MappedArray": (camera_calls.Mapped, FakeMapped),
}


def own(protocol):
    """Names of what a protocol declares."""
    return {name for name in vars(protocol) if not name.startswith("_") or name in DUNDERS} - {
        "array"
    }


DUNDERS = {"__enter__", "__exit__"}


def declared():
    return [(library, name) for library, (ours, _) in OURS.items() for name in sorted(own(ours))]


@pytest.mark.parametrize(("library", "name"), declared())
def test_the_library_has_every_call_with_these_parameters(library, name):
    recorded = RECORD[f"{library}.{name}"]
    for cls in OURS[library]:
        for each in inspect.signature(getattr(cls, name)).parameters.values():
            if each.name != "self" and each.kind is not inspect.Parameter.VAR_KEYWORD:
                assert each.name in recorded, f"{cls.__name__}.{name}({each.name})"


def test_the_fake_has_the_librarys_order_and_defaults():
    # A fake that took (request, stream, write) hid that the third of the library's is another.
    ours = inspect.signature(FakeMapped.__init__).parameters
    found = {n: None if p.default is p.empty else repr(p.default) for n, p in ours.items()}
    assert {n: v for n, v in found.items() if n != "self"} == RECORD["MappedArray.__init__"]
    assert list(found)[1:] == ["request", "stream", "reshape", "write"]


def test_mapping_is_asked_for_by_name():
    ours = inspect.signature(camera_calls.Mapping.__call__).parameters
    assert list(ours)[1:] == ["request", "stream", "reshape", "write"]
