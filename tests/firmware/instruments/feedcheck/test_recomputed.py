"""A feed check found again by its readings."""

from dataclasses import replace

import pytest

from firmware.clock import HandClock
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.feedcheck.feeds_read import reading_of
from firmware.instruments.feedcheck.instrument import INSTRUMENT
from firmware.instruments.feedcheck.judged_readings import Judging, judged
from firmware.instruments.feedcheck.recomputed import by_seal
from firmware.journal.composing import InView, mark_of
from firmware.journal.found_again import by_seal as by_seal_of
from firmware.journal.profile_texts import profile_text
from firmware.journal.slate import Slate
from firmware.journal.verify import counted, wrong_numbers
from firmware.opening.overrides import Overrides
from overlays.draw.moment.layers import PinFlags
from overlays.measure.feedcheck.patch import SaturatedPatch
from overlays.measure.feedcheck.readings import What
from tests.marked import stamp

BENCH = "bench:size=320x180,signal=yuv422-10"
LIGHT = {What.CAP: ",exposure=-12", What.CARD: "", What.CLIP: ",exposure=6"}


@pytest.fixture(scope="module")
def seen():
    readings = {}
    for what, light in LIGHT.items():
        wanted = Wanted(BENCH + light, None, Overrides(), 0, ())
        with Opener(HandClock(10**9)).scene(wanted) as opened:
            scene = opened.kept()
        readings[what] = reading_of(what, scene)
    answer = judged(readings, scene.origin, PinFlags(()), Judging())
    assert answer.check is not None
    return InView(
        scene.frame,
        scene.yard,
        scene.place,
        scene.range,
        INSTRUMENT.views[0],
        INSTRUMENT.settings(scene.profile, 25.0),
        answer,
        scene.desk,
        scene.read_with,
        profile_text(scene.profile),
        Slate(),
        stamp(),
    )


@pytest.fixture(scope="module")
def row(seen):
    return mark_of(seen)


def test_every_number_is_found_again_by_the_readings(row):
    assert len(row.body["answer"]["hypotheses"]) > 3
    assert list(wrong_numbers(row)) == []
    assert counted(row)[1] == 0
    assert set(by_seal_of(row)) <= {"words"}


@pytest.mark.parametrize(
    ("of", "name"),
    [("readings", "code"), ("readings", "code_pm"), ("hypotheses", "probability")],
)
def test_a_number_that_is_altered_is_found(row, of, name):
    all_ = [dict(each) for each in row.body["answer"][of]]
    all_[1][name] += 1e-6
    answer = {**row.body["answer"], of: all_}
    (fault,) = wrong_numbers(replace(row, body={**row.body, "answer": answer}))
    assert fault.startswith(f"feedcheck.{of} 2.{name} is ")


def test_readings_that_are_altered_are_found(row):
    readings = {name: dict(each) for name, each in row.body["decided"]["readings"].items()}
    readings["card"]["code"] += 1.0
    body = {**row.body, "decided": {"readings": readings}}
    assert list(wrong_numbers(replace(row, body=body))) != []


def test_what_patches_decided_is_held_by_the_seal_and_named(seen):
    patch = SaturatedPatch((200.0, 400.0, 700.0))
    answer = replace(seen.answer, patches=(patch,))
    row = mark_of(replace(seen, answer=answer))
    stored = row.body["answer"]
    assert by_seal({**stored, "costs": [1]}, None) == ("costs",)
    assert list(wrong_numbers(row)) == []
