"""What the kit asks of a unit: each wish once, whatever else comes; a spoilt preset with a word."""

import pytest

from firmware.clock import HandClock
from firmware.journal.slate import Slate
from firmware.kit.around import PostAround
from firmware.kit.outbox import Outbox
from firmware.kit.payloads import KitPreset, KitSlate, MarkNow, SlatePart
from firmware.kit.settings import RESERVED
from firmware.kit.topics import Topic, packed, topic_of
from firmware.kit.wishes import Wishes
from tests.kit_messages import ID, preset


@pytest.fixture
def heard(tmp_path):
    """Whoever is told, the presets and slates that came out, and what was said."""
    journal = tmp_path / "journal.db"
    presets: list[KitPreset] = []
    slates: list[Slate] = []
    said: list[str] = []

    def set_slate(slate):
        slates.append(slate)
        return "slate said"

    around = PostAround(
        HandClock(),
        journal,
        set_slate=set_slate,
        take_preset=presets.append,
        say=said.append,
    )
    return Wishes(around, Outbox(journal, "cam-a")), presets, slates, said


def say(told, topic, message, *, is_kept=False):
    payload = message if isinstance(message, bytes) else packed(message)
    told.hear(topic_of(RESERVED, topic), payload, is_kept=is_kept)
    told.follow()


def test_a_preset_is_handed_on_as_it_came(heard):
    told, presets, _, said = heard
    wanted = preset(units=("cam-a",), view="watch", target="-1 st")
    say(told, Topic.PRESET, wanted, is_kept=True)
    assert presets == [wanted]
    assert said == []


@pytest.mark.parametrize("payload", [b"{", b"[]", b'{"schema": 1, "preset": {"lock": []}}'])
def test_a_spoilt_preset_is_refused_once_with_one_sentence(heard, payload):
    told, presets, _, said = heard
    say(told, Topic.PRESET, payload)
    say(told, Topic.PRESET, payload)
    (words,) = said
    assert words.startswith("the kit's preset is refused: midgrey/1/kit/preset: ")
    assert presets == []


def test_one_that_was_taken_off_the_broker_is_no_mistake(heard):
    told, presets, _, said = heard
    say(told, Topic.PRESET, b"")
    assert (presets, said) == ([], [])


def test_a_wish_to_mark_is_followed_once_and_never_late(heard):
    told, _, slates, said = heard
    wish = MarkNow(schema=1, id=ID, slate=SlatePart(scene="7"))
    say(told, Topic.MARK_NOW, wish, is_kept=True)
    assert told.take_marks() == 0
    say(told, Topic.MARK_NOW, wish)
    say(told, Topic.MARK_NOW, wish)
    assert (told.take_marks(), told.take_marks()) == (1, 0)
    assert slates == [Slate(scene="7")]
    assert said == ["slate said"]


def test_a_slate_that_is_said_again_is_carried_once(heard):
    told, _, slates, _ = heard
    for scene in ("7", "7", "8"):
        say(told, Topic.SLATE, KitSlate(schema=1, slate=SlatePart(scene=scene)), is_kept=True)
    assert [each.scene for each in slates] == ["7", "8"]
