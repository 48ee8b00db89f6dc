"""A unit at its kit, with a real Mosquitto and the settings that midgrey ships for it."""

import time
from types import SimpleNamespace

import pytest

from firmware.health.condition import Condition, Severity, Subject
from firmware.journal.row import RowKind
from firmware.journal.slate import Slate
from firmware.kit import line
from firmware.kit.payloads import KitMark, KitSlate, SlatePart
from firmware.kit.post import HEALTH_NS, Post
from firmware.kit.settings import RESERVED
from firmware.kit.topics import Topic
from tests.brokers import Broker, until
from tests.firmware.kit.conftest import put, row

ALL_ONCE = {f"row {n}": 1 for n in range(1, 7)}


def test_marks_arrive_once_though_the_broker_is_killed_and_the_unit_begins_anew(
    broker, unit, hearer
):
    reader = hearer(broker.settings("reader"), "record")
    first = unit(broker.settings("cam-a"))
    until(lambda: first.post.is_up and reader.listener.is_up)
    put(first.journal, row(1), row(2, RowKind.EVENT), row(0, RowKind.CLOCK))
    until(lambda: len(reader.marks) == 2)
    assert [each.kind for each in reader.marks] == ["mark", "event"]
    broker.kill()
    put(first.journal, row(3))
    until(lambda: not first.post.is_up)
    first.post.close()
    put(first.journal, row(4))
    again = unit(broker.settings("cam-a"))
    broker.start()
    put(again.journal, row(5), row(6))
    # Whichever is there first: the broker knows neither of them any more.
    until(lambda: len(reader.marks) >= 6)
    until(lambda: again.post._outbox.waiting == 0)
    time.sleep(0.3)  # what came twice would be here by now
    assert reader.words == ALL_ONCE
    assert len({each.id for each in reader.marks}) == 6
    assert all(each.unit == "cam-a" for each in reader.marks)


def test_the_log_says_that_the_broker_answers_at_the_first_try_too(broker, unit):
    made = unit(broker.settings("cam-a"))
    until(lambda: made.said)
    assert made.said == [f"the kit's broker 127.0.0.1:{broker.port} answers"]


def test_a_reader_that_the_broker_forgot_hears_what_it_missed_all_the_same(broker, unit, hearer):
    gone = hearer(broker.settings("reader"), "record")
    until(lambda: gone.listener.is_up)
    gone.close()
    broker.kill()  # before it has kept whom it knows
    broker.start()
    made = unit(broker.settings("cam-a"))
    put(made.journal, row(1), row(2))
    until(lambda: made.post._outbox._sent == 2)
    back = hearer(broker.settings("reader"), "record")
    until(lambda: len(back.marks) == 2)
    assert back.words == {"row 1": 1, "row 2": 1}


def test_a_reader_out_of_reach_hears_later_what_it_missed(broker, unit, hearer):
    gone = hearer(broker.settings("reader"), "record")
    until(lambda: gone.listener.is_up)
    gone.close()
    made = unit(broker.settings("cam-a"))
    put(made.journal, row(1), row(2))
    until(lambda: made.post.is_up and made.post._outbox._sent == 2)
    back = hearer(broker.settings("reader"), "record")
    until(lambda: len(back.marks) == 2)
    assert back.words == {"row 1": 1, "row 2": 1}


def test_while_the_network_is_cut_marks_wait_and_then_arrive_once(
    broker, cable, unit, hearer, monkeypatch
):
    monkeypatch.setattr(line, "KEEPALIVE_S", 1)  # it is cut for seconds, not for a minute
    monkeypatch.setattr(line, "SETTLES_NS", 500_000_000)
    reader = hearer(broker.settings("reader"))
    made = unit(broker.settings("cam-a", port=cable.port))
    until(lambda: made.post.is_up and reader.unit("cam-a") and reader.unit("cam-a").is_online)
    put(made.journal, row(1))
    until(lambda: len(reader.marks) == 1)
    cable.cut()
    put(made.journal, *(row(n) for n in range(2, 6)))
    # The broker says so by itself, once and a half the keepalive later.
    until(lambda: not reader.unit("cam-a").is_online)
    assert reader.unit("cam-a").absence == "is cut off"
    assert len(reader.marks) == 1
    cable.mend()
    put(made.journal, row(6))
    until(lambda: len(reader.marks) >= 6)
    until(lambda: reader.unit("cam-a").is_online)
    time.sleep(0.3)
    assert reader.words == ALL_ONCE
    # One that leaves by itself says so.
    made.post.close()
    until(lambda: not reader.unit("cam-a").is_online)
    assert reader.unit("cam-a").absence == "was switched off"


def test_marks_of_before_there_was_a_kit_are_not_sent(broker, unit, hearer, tmp_path):
    reader = hearer(broker.settings("reader"))
    (tmp_path / "unit").mkdir()
    put(tmp_path / "unit" / "journal.db", row(1), row(2))
    made = unit(broker.settings("cam-a"))
    put(made.journal, row(3))
    until(lambda: reader.marks)
    time.sleep(0.2)
    assert reader.words == {"row 3": 1}


def test_a_mark_on_all_is_asked_for_once_of_each_with_one_slate(broker, unit):
    slates: dict[str, Slate] = {}
    units = [
        unit(
            broker.settings(name),
            name,
            slate=lambda name=name: slates.get(name, Slate(camera=name)),
            set_slate=lambda slate, name=name: slates.update({name: slate}) or "",
        )
        for name in ("cam-a", "cam-b")
    ]
    until(lambda: all(each.post.is_up for each in units))
    time.sleep(0.2)  # until the broker knows what they want to hear
    assert units[0].post.mark_all(Slate(scene="12", take="3"))
    asked = [0, 0]

    def both():
        for n, each in enumerate(units):
            asked[n] += each.post.take_marks_asked()
        return asked == [1, 1]

    until(both)
    assert slates == {name: Slate(scene="12", take="3", camera=name) for name in ("cam-a", "cam-b")}


def test_a_slate_from_the_broker_is_taken_once_and_health_goes_there(broker, unit, hearer):
    slates: list[Slate] = []
    reader = hearer(broker.settings("reader"))
    hot = Condition(Subject.TEMPERATURE, Severity.ALARM, "hot", "cool it", "hot: cool it")
    made = unit(
        broker.settings("cam-a"),
        set_slate=lambda slate: str(slates.append(slate) or ""),  # type: ignore[func-returns-value]
        health=lambda: (hot,),
    )
    until(lambda: reader.unit("cam-a") and reader.unit("cam-a").health)
    (said,) = reader.unit("cam-a").health.conditions
    assert (said.subject, said.severity, said.remedy) == ("temperature", "alarm", "cool it")
    slate = KitSlate(schema=1, slate=SlatePart(scene="7"))
    until(lambda: reader.listener.say(RESERVED, Topic.SLATE, slate))
    until(lambda: slates)
    broker.stop()
    until(lambda: not made.post.is_up)
    broker.start()  # and says again what it has kept
    until(lambda: made.post.is_up)
    time.sleep(0.3)
    assert slates == [Slate(scene="7")]


def test_nobody_speaks_under_anothers_name(broker, unit, hearer):
    liar, reader = hearer(broker.settings("cam-b")), hearer(broker.settings("reader"))
    until(lambda: liar.listener.is_up and reader.listener.is_up)
    told = unit(broker.settings("cam-a"))
    put(told.journal, row(1))
    until(lambda: reader.marks)
    mark = KitMark(**{**dict(reader.marks[0]), "id": "f" * 64, "words": "a lie"})
    assert liar.listener.say("cam-a", Topic.MARK, mark)
    put(told.journal, row(2))
    until(lambda: len(reader.marks) == 2)
    assert reader.words == {"row 1": 1, "row 2": 1}


def refusal_of(post):
    until(lambda: post.trouble)
    return post.trouble


def test_a_stranger_and_a_wrong_password_are_refused_with_one_sentence(broker, unit):
    settings = broker.settings("cam-a", password="a wrong one")
    words = refusal_of(unit(settings).post)
    assert "does not know cam-a by this password" in words
    stranger = broker.settings("nobody", password="whatever it is")
    said = refusal_of(unit(stranger, "stranger").post)
    assert "does not know nobody by this password" in said
    assert "wrong one" not in words
    assert "\n" not in words + said


def test_a_broker_that_is_not_there_is_said(broker, unit):
    broker.kill()
    alone = unit(broker.settings("cam-a")).post
    assert "cannot be reached (connection refused)" in refusal_of(alone)
    assert not alone.mark_all(None)


# paho leaves a socket whose handshake failed to the garbage.
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_certificate_is_believed_only_from_the_kits_own_authority(tmp_path, authority, unit):
    broker = Broker(tmp_path / "sealed", {"cam-a": "first-password"}, tls=True)
    for each in authority.iterdir():
        (broker.folder / each.name).write_bytes(each.read_bytes())
    broker.start()
    try:
        settings = broker.settings("cam-a")
        good = unit(settings)
        until(lambda: good.post.is_up)
        put(good.journal, row(1))
        until(lambda: good.post._outbox._sent == 1)
        (broker.folder / "ca.pem").write_bytes((authority / "stranger.pem").read_bytes())
        words = refusal_of(unit(settings, "other").post)
        assert "is not believed" in words
        assert "must be signed by" in words
        assert "\n" not in words
        (broker.folder / "ca.pem").write_text("no certificate", "utf-8")
        assert "is no certificate that can be read" in refusal_of(unit(settings, "third").post)
    finally:
        broker.kill()


def test_health_that_stays_as_it_is_is_told_again_only_after_a_while():
    told: list[tuple[int, int]] = []
    now_ns, hot = 10**15, Condition(Subject.TEMPERATURE, Severity.WARNING, "80 °C")
    around = SimpleNamespace(health=lambda: (hot,) if told else ())
    here = SimpleNamespace(
        _health=None,
        _health_ns=0,
        _around=around,
        settings=SimpleNamespace(unit="cam-a"),
        boot="0" * 32,
        _publish=lambda made, _topic: told.append((now_ns - 10**15, len(made.conditions))),
    )
    for now_ns in (10**15 + n * HEALTH_NS // 4 for n in range(9)):
        Post._send_health(here, now_ns)
    quarter = HEALTH_NS // 4
    assert told == [(0, 0), (quarter, 1), (5 * quarter, 1)]
