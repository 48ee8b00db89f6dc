import json
from dataclasses import replace
from pathlib import Path

import pytest

from firmware.clock import HandClock
from firmware.errors import JournalError
from firmware.instruments.asking import Opener, Wanted
from firmware.journal.evidence import evidence_object, evidence_of, of_pins
from firmware.opening.overrides import Overrides
from firmware.profiles.reader import profile_of_text
from tests.marked import PINS, SMALL


@pytest.fixture(scope="module")
def scene():
    with Opener(HandClock()).scene(Wanted(SMALL, None, Overrides(), 0, PINS)) as made:
        return made.kept()


def test_two_stand_behind_one_another_and_each_comes_back(scene):
    kept, text = of_pins(scene)
    body = json.loads(json.dumps(evidence_object(kept, text)))
    again, rest = evidence_of(body, kept.codes.packed + b"behind")
    assert (again, rest) == (kept, b"behind")
    pins = again.scene().pins()
    assert {n: pin.stops for n, pin in pins.items()} == {
        n: pin.stops for n, pin in scene.pins().items()
    }


def test_codes_of_before_0_6_stand_alone(scene):
    kept, text = of_pins(scene)
    body = evidence_object(kept, text)
    del body["codes"]["packed"]
    assert evidence_of(body, kept.codes.packed)[1] == b""


def test_a_picture_of_no_size_is_none(scene):
    body = evidence_object(*of_pins(scene))
    body["codes"]["rows"] = 0
    with pytest.raises(JournalError, match="is none"):
        evidence_of(body, b"")


def test_a_profile_that_is_gone_gives_nothing(scene, tmp_path):
    path = tmp_path / "mine.toml"
    text = 'curve = "BT.709"\n'
    path.write_text(text)
    profile = profile_of_text(text, Path("mine.toml"))

    profile = replace(profile, source_path=path)
    with_ = replace(scene, read_with=replace(scene.read_with, profile=profile))
    assert of_pins(with_) is not None
    path.unlink()
    assert of_pins(with_) is None
