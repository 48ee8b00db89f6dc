"""Presets of a kit on a unit: taken once, refused in a sentence, there again after a restart."""

from dataclasses import replace

import pytest

from firmware.actions import SetAs
from firmware.kit.settings import KitSettings, Wire
from firmware.live.kit_presets import TAKEN_BACK, KitPresets, laid_over
from firmware.live.locking import Locking
from firmware.live.run_plan import RunPlan
from firmware.opening.overrides import Overrides
from firmware.presets.from_kit import FILE
from firmware.presets.model import Allowed, Lock
from overlays.signal.quantities import stops
from tests import views
from tests.firmware.live.test_remembered import start
from tests.kit_messages import preset

KIT = KitSettings("cam-a", "192.0.2.1", 1883, "nobody is there", Wire.PLAIN)  # RFC 5737


class Unit:
    def __init__(self, path):
        self.log: list[str] = []
        self.answers: list[tuple[str, str, bool]] = []
        self.presets = KitPresets(path, "cam-a", self.log.append)
        self.presets.answer = lambda *words, taken: self.answers.append((*words, taken))
        self.presets.state = start()


@pytest.fixture
def unit(tmp_path):
    return Unit(tmp_path / FILE)


def plan(tmp_path, **more):
    return RunPlan(view=views.EXPOSE, kit=KIT, keep=tmp_path / "settings.json", **more)


def test_it_is_taken_once_said_answered_and_kept(unit, tmp_path):
    wanted = preset(1, title="Night", view="watch", profile="hlg", target="-1 st")
    for _ in range(3):  # the broker says it again with each connection
        unit.presets.take(wanted)
    assert unit.presets.take_asked() == [SetAs("watch", "hlg", stops(-1.0), None)]
    assert unit.presets.take_asked() == []
    assert unit.log == ["the kit's preset taken (Night)"]
    assert unit.presets.take_words() == "the kit's preset: taken (Night)"
    assert unit.presets.take_words() == ""
    assert unit.answers == [(wanted.id, "taken (Night)", True)]
    # A unit that starts anew has it, and is not set again by what the broker says then.
    again = Unit(tmp_path / FILE)
    again.presets.take(wanted)
    assert (again.log, again.presets.take_asked()) == ([], [])
    found = laid_over(plan(tmp_path, profile="log-v", overrides=Overrides(curve="V-Log")))
    assert (found.view.name, found.profile, found.goal) == ("watch", "hlg", (stops(-1.0), None))
    assert found.overrides.curve is None


def test_what_another_one_does_not_name_stays_until_all_is_taken_back(unit, tmp_path):
    unit.presets.take(preset(1, view="watch", target_within="0.2 st"))
    unit.presets.take(preset(2, target="45 %"))
    found = laid_over(plan(tmp_path, goal=(stops(0.0), 0.5)))
    assert (found.view.name, str(found.goal[0]), found.goal[1]) == ("watch", "45 %", 0.2)
    assert unit.presets.over(plan(tmp_path)).view.name == "watch"
    unit.presets.take_asked()
    unit.presets.take(preset(3))
    assert unit.answers[-1] == (preset(3).id, TAKEN_BACK, True)
    assert unit.presets.take_asked() == []
    assert laid_over(plan(tmp_path)) == plan(tmp_path)


def test_it_is_for_some_or_for_all(unit):
    unit.presets.take(preset(1, units=("cam-b",), view="watch"))
    assert (unit.log, unit.answers) == ([], [])
    unit.presets.take(preset(2, units=("cam-b", "cam-a"), view="watch"))
    assert unit.presets.take_asked() == [SetAs("watch")]


@pytest.mark.parametrize(
    ("keys", "said"),
    [({"lock": False}, "'lock' is each unit's own"), ({"view": "nonesuch"}, "view: ")],
)
def test_a_wrong_one_changes_nothing_and_says_why_once(unit, tmp_path, keys, said):
    for _ in range(2):
        unit.presets.take(preset(1, **keys))
    (words,) = unit.log
    assert words.startswith(f"the kit's preset refused: {said}")
    assert [taken for _, _, taken in unit.answers] == [False]
    assert unit.presets.take_asked() == []
    assert not (tmp_path / FILE).exists()


def test_a_locked_unit_refuses_it_in_a_sentence_and_no_restart_lets_it_in(unit, tmp_path):
    lock = Lock(frozenset(set(Allowed) - {Allowed.PRESET}))
    unit.presets.state = replace(start(), locking=Locking(lock, views.TARGET))
    unit.presets.take(preset(1, view="watch"))
    assert "this unit is locked" in unit.log[0]
    assert not (tmp_path / FILE).exists()
    # Taken while the lock was lifted: a restart locks it again, as its own preset says.
    unit.presets.state = replace(start(), locking=Locking(lock, views.TARGET, is_on=False))
    unit.presets.take(preset(2, view="watch"))
    assert unit.presets.take_asked() == [SetAs("watch")]
    locked = plan(tmp_path, lock=lock)
    assert laid_over(locked) == locked
    assert unit.presets.over(locked) == locked


def test_a_lock_that_allows_it_is_on_all_the_same(unit, tmp_path):
    lock = Lock(frozenset({Allowed.PRESET}))
    unit.presets.state = replace(start(), locking=Locking(lock, views.TARGET))
    unit.presets.take(preset(1, view="watch"))
    found = laid_over(plan(tmp_path, lock=lock))
    assert (found.view.name, found.lock) == ("watch", lock)


def test_a_card_that_takes_nothing_is_said(tmp_path):
    unit = Unit(tmp_path / "nowhere" / FILE)
    unit.presets.take(preset(1, view="watch"))
    assert "until the power goes" in unit.log[0]
    assert unit.presets.take_asked() == [SetAs("watch")]


def test_what_can_no_longer_be_followed_is_said_and_the_unit_comes_up(tmp_path):
    (tmp_path / FILE).write_text("{")
    found = laid_over(plan(tmp_path))
    assert found.view.name == "expose"
    assert "is damaged" in found.wrong[0]
    gone = Unit(tmp_path / FILE)
    gone.presets.take(preset(1, view="watch"))
    assert gone.presets.take_asked() == [SetAs("watch")]


def test_without_a_kit_or_a_folder_there_is_nothing_to_lay_over(tmp_path):
    Unit(tmp_path / FILE).presets.take(preset(1, view="watch"))
    for other in (replace(plan(tmp_path), kit=None), replace(plan(tmp_path), keep=None)):
        assert laid_over(other) == other
    desk = Unit(None)
    desk.presets.take(preset(1, view="watch"))
    assert desk.presets.take_asked() == [SetAs("watch")]
