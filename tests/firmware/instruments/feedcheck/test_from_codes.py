"""A feed check made again of the codes of what it read, in the view."""

from dataclasses import replace

import pytest

from firmware.clock import HandClock
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.feedcheck.instrument import INSTRUMENT
from firmware.instruments.scene import Frames
from firmware.journal.composing import mark_of
from firmware.journal.found_again import by_seal
from firmware.journal.in_view import InView
from firmware.journal.profile_texts import profile_text
from firmware.journal.slate import Slate
from firmware.journal.verify import counted, wrong_numbers
from firmware.opening.overrides import Overrides
from overlays.measure.feedcheck.readings import What
from tests.marked import stamp

BENCH = "bench:size=320x180,signal=yuv422-10,curve=LogC4"
CHART = "bench:size=960x540,cloud=0,signal=yuv422-10,curve=LogC4,matrix=BT.601,says=BT.709"
LIGHT = {What.CAP: ",exposure=-12", What.CARD: "", What.CLIP: ",exposure=7"}
ASKED = {What.DARK: ",exposure=-4", What.WHITE: ",exposure=2.3"}


def scene_of(feed):
    with Opener(HandClock(10**9)).scene(Wanted(feed, None, Overrides(), 0, ())) as opened:
        return replace(opened.kept(), frames=Frames.LIVE)


def mark_after(*lights, chart=False):
    """The view after so many readings, and then all that is asked for and a chart."""
    memory, settings = INSTRUMENT.memory(), INSTRUMENT.settings(None, 25.0)
    for light in lights:
        scene = scene_of(BENCH + light)
        settings = replace(settings, taken=settings.taken + 1)
        answer = INSTRUMENT.measure(scene, settings, memory)
    while chart and answer.check.ask is not None:
        settings = replace(settings, taken=settings.taken + 1)
        answer = INSTRUMENT.measure(scene_of(BENCH + ASKED[answer.check.ask]), settings, memory)
    if chart:
        scene = scene_of(CHART)
        settings = replace(settings, patches=settings.patches + 1)
        answer = INSTRUMENT.measure(scene, settings, memory)
    seen = InView(
        scene.frame,
        scene.yard,
        scene.place,
        scene.range,
        INSTRUMENT.views[0],
        settings,
        answer,
        scene.desk,
        scene.read_with,
        profile_text(scene.profile),
        Slate(),
        stamp(),
    )
    return seen, mark_of(seen)


@pytest.fixture(scope="module")
def marked():
    return mark_after(*LIGHT.values())


def is_whole(row):
    """Whether every number is found again, and none is held by the seal alone."""
    return (list(wrong_numbers(row)), counted(row)[1], by_seal(row)) == ([], 0, ())


def test_every_number_is_made_of_the_codes_that_were_read(marked):
    seen, row = marked
    told = row.body["answer"]
    assert len(told["hypotheses"]) >= 3
    assert is_whole(row)
    for each, (what, reading) in zip(told["readings"], seen.answer.readings.items(), strict=True):
        assert (each["of"], each["code"]) == (what.value, round(reading.code, 6))
    assert told["verdict"]
    assert [len(each["inputs"]["counts"]["levels"]) for each in row.body["others"]] == [1024] * 3


@pytest.mark.parametrize(
    ("of", "name"),
    [
        ("readings", "code"),
        ("readings", "code_pm"),
        ("hypotheses", "probability"),
        ("hypotheses", "beyond_codes"),
    ],
)
def test_a_number_that_is_altered_is_found(marked, of, name):
    _, row = marked
    all_ = [dict(each) for each in row.body["answer"][of]]
    all_[1][name] += 1e-6
    answer = {**row.body["answer"], of: all_}
    (fault,) = wrong_numbers(replace(row, body={**row.body, "answer": answer}))
    assert fault.startswith(f"feedcheck.{of} 2.{name} is ")


def test_counts_of_the_clip_that_are_altered_are_found(marked):
    _, row = marked
    others = [dict(each) for each in row.body["others"]]
    counts = others[2]["inputs"]["counts"]
    levels = [0] * 1000 + [sum(counts["levels"])] + [0] * 23
    others[2]["inputs"] = {**others[2]["inputs"], "counts": {**counts, "levels": levels}}
    assert list(wrong_numbers(replace(row, body={**row.body, "others": others}))) != []


@pytest.fixture(scope="module")
def with_chart():
    return mark_after(*LIGHT.values(), chart=True)


def test_what_patches_decided_is_made_of_their_codes_too(with_chart):
    seen, row = with_chart
    assert len(seen.answer.patches) == 10
    told = row.body["answer"]
    assert told["patches"] == [each.patch for each in seen.answer.patches]
    assert told["matrices"] == ["BT.601"]
    assert len(row.body["others"]) == len(seen.answer.readings) + 1
    assert is_whole(row)


@pytest.mark.parametrize(
    "patch", [{"chart": "another"}, {"at": 9}, {"at": -1}, {"patch": "x"}, {"place": {}}]
)
def test_a_patch_that_makes_no_sense_is_a_sentence(with_chart, patch):
    _, row = with_chart
    patches = [{**row.body["made_of"]["patches"][0], **patch}]
    body = {**row.body, "made_of": {**row.body["made_of"], "patches": patches}}
    faults = list(wrong_numbers(replace(row, body=body)))
    assert faults != []
    assert all(isinstance(each, str) for each in faults)


def test_before_there_is_enough_to_judge_there_is_no_number_and_it_is_said_what_is_next():
    _, row = mark_after(LIGHT[What.CAP])
    assert row.body["answer"] is None
    assert "2 of 3" in row.head["words"]
    assert is_whole(row)


def test_a_reading_that_was_refused_leaves_no_codes():
    _, row = mark_after(LIGHT[What.CARD], LIGHT[What.CAP])  # the card is darker than the cap
    assert len(row.body["others"]) == 1
    assert is_whole(row)
