"""`midgrey units` with a real Mosquitto."""

import io
import json
import threading
from dataclasses import replace

import jsonschema
import pytest

from firmware.actions import Press
from firmware.answers.cleaner import enveloped
from firmware.clock import SystemClock
from firmware.commands.schema import schemas
from firmware.commands.units import (
    UnitsObject,
    list_units,
    listen,
    record,
    set_all,
    settings_for,
)
from firmware.errors import ArgumentError, KitError
from firmware.kit.unit_object import UnitObject
from tests.brokers import PASSWORDS, Broker
from tests.kit_units import LoopOfKit
from tests.running import midgrey


@pytest.fixture
def broker(tmp_path):
    made = Broker(tmp_path / "broker", PASSWORDS, tls=False)
    made.start()
    yield made
    made.kill()


def written(tmp_path, broker, name="reader", **more):
    told = {
        "unit": f'"{name}"',
        "broker": f'"127.0.0.1:{broker.port}"',
        "password": f'"{PASSWORDS[name]}"',
        "tls": "false",
        **more,
    }
    path = tmp_path / f"{name}.toml"
    lines = "\n".join(f"{key} = {value}" for key, value in told.items())
    path.write_text(f"[kit]\n{lines}\n", "utf-8")
    return path


def test_units_are_listed_as_they_stand(broker, tmp_path):
    one = LoopOfKit(tmp_path / "a", broker.settings("cam-a"), "bench:size=160x90,rate=5")
    try:
        one.until(lambda: one.kitting.post.is_up and one.kitting.post._number)
        over = threading.Event()
        found: list[tuple[UnitObject, ...]] = []

        def hear():
            found.append(listen(settings_for(written(tmp_path, broker), {}), SystemClock()))
            over.set()

        threading.Thread(target=hear, daemon=True).start()
        one.until(over.is_set)
    finally:
        one.close()
    (unit,) = found[0]
    assert (unit.unit, unit.here, unit.state) == ("cam-a", True, "live")
    assert unit.stops is not None
    assert unit.age_s < 2.0
    out = io.StringIO()
    list_units(found[0], out)
    assert "cam-a (simulated)" in out.getvalue()
    assert " fine " in out.getvalue()
    out = io.StringIO()
    list_units((replace(unit, battery="73 %, in use"),), out)
    assert "in use" in out.getvalue()  # in lines as short as the terminal's
    jsonschema.validate(enveloped(UnitsObject(found[0])), schemas("units"))


def test_a_kit_without_units_and_one_that_left(broker, tmp_path):
    path = written(tmp_path, broker)
    done = midgrey("units", "--preset", path)
    assert (done.returncode, done.stdout) == (0, "No unit is heard.\n")
    gone = LoopOfKit(tmp_path / "a", broker.settings("cam-a"), "bench:size=160x90,rate=5")
    gone.until(lambda: gone.kitting.post.is_up and gone.kitting.post._number)
    gone.close()
    done = midgrey("units", "--preset", path, "--json")
    (unit,) = json.loads(done.stdout)["units"]
    assert (unit["here"], unit["absence"], unit["stops"]) == (False, "was switched off", None)


def test_what_is_wrong_is_one_sentence_and_status_2(broker, tmp_path):
    wrong = written(tmp_path, broker, password='"not the right one"')
    done = midgrey("units", "--preset", wrong)
    assert done.returncode == 2
    assert "does not know reader by this password" in done.stderr
    assert done.stderr.count("\n") == 1
    (tmp_path / "none.toml").write_text("")
    done = midgrey("units", "--preset", tmp_path / "none.toml")
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert "belongs to no kit" in done.stderr
    with pytest.raises(KitError, match="this unit: belongs to no kit"):
        settings_for(None, {"MIDGREY_PRESETS": str(tmp_path / "gone")})


def test_the_preset_that_a_unit_starts_with_is_taken(broker, tmp_path):
    folder = tmp_path / "boot"
    folder.mkdir()
    written(folder, broker)
    assert settings_for(None, {"MIDGREY_PRESETS": str(folder)}).unit == "reader"


def test_marks_of_all_go_into_one_file_once(broker, tmp_path):
    one = LoopOfKit(tmp_path / "a", broker.settings("cam-a"), "bench:size=160x90,rate=5")
    path = tmp_path / "kit.jsonl"
    path.write_text('{"id": "half a li', "utf-8")
    out = io.StringIO()

    class Clock(SystemClock):
        is_over = False

        def sleep(self, seconds):
            if self.is_over:
                raise KeyboardInterrupt
            super().sleep(seconds)

    def keep(clock):
        with pytest.raises(KeyboardInterrupt):
            record(broker.settings("reader"), path, clock, out)

    def lines():
        return [json.loads(each) for each in path.read_text("utf-8").splitlines()[1:]]

    try:
        for count in (1, 2):
            clock = Clock()
            thread = threading.Thread(target=keep, args=(clock,), daemon=True)
            thread.start()
            one.frames(2)
            one.press(Press.MARK)
            one.until(lambda count=count: len(lines()) >= count)
            clock.is_over = True
            thread.join(5)
    finally:
        one.close()
    assert len({each["id"] for each in lines()}) == len(lines())
    with pytest.raises(ArgumentError, match="cannot be"):
        record(broker.settings("reader"), tmp_path, SystemClock(), out)


def test_all_units_are_set_by_one_file_and_say_what_became_of_it(broker, tmp_path):
    one = LoopOfKit(tmp_path / "a", broker.settings("cam-a"), "bench:size=160x90,rate=5")
    path, night = written(tmp_path, broker), tmp_path / "night.toml"
    night.write_text('title = "Night"\nview = "watch"\ntarget = "-1 st"\n')
    try:
        one.until(lambda: one.kitting.post.is_up and one.kitting.post._number)
        told = in_thread(one, set_all, settings_for(path, {}), night, ())
        assert told.splitlines() == [
            "The broker has it: units that come later take it then.",
            "cam-a: taken (Night)",
        ]
        one.until(lambda: one.loop.state.view.name == "watch")
        assert str(one.loop.state.in_use.target) == "-1 st"
        # Whoever is not meant stays as it is, and is not asked after.
        night.write_text('view = "pins"\n')
        told = in_thread(one, set_all, settings_for(path, {}), night, ("cam-b",))
        assert told.count("\n") == 1
        assert one.loop.state.view.name == "watch"
    finally:
        one.close()
    # What comes later takes it then: the broker has kept it.
    late = LoopOfKit(tmp_path / "b", broker.settings("cam-b"), "bench:size=160x90,rate=5")
    try:
        late.until(lambda: late.loop.state.view.name == "pins")
    finally:
        late.close()


def in_thread(unit, does, *words):
    """What a command prints while a unit goes on."""
    out, over, faults = io.StringIO(), threading.Event(), []

    def run():
        try:
            does(*words, SystemClock(), out)
        except KitError as fault:
            faults.append(fault)
        over.set()

    threading.Thread(target=run, daemon=True).start()
    unit.until(over.is_set)
    assert faults == []
    return out.getvalue()


def test_a_file_that_a_kit_may_not_send_is_not_sent(broker, tmp_path):
    path, wrong = written(tmp_path, broker), tmp_path / "wrong.toml"
    wrong.write_text("lock = false\n")
    done = midgrey("units", "--preset", path, "--set", wrong)
    assert done.returncode == 2
    assert done.stderr.startswith(f"midgrey: {wrong}: 'lock' is each unit's own")
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--only", "cam-a"), "--only says whom --set FILE.toml is for"),
        (("--set", "night.toml", "--only", "Cam A"), "'Cam A' is no name of a unit"),
    ],
)
def test_whom_it_is_for_is_checked(broker, tmp_path, words, said):
    done = midgrey("units", "--preset", written(tmp_path, broker), *words)
    assert done.returncode == 2
    assert said in done.stderr
