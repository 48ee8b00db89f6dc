import pytest

from firmware.health import record
from firmware.health.asked_once import conditions
from firmware.health.condition import Condition, Severity, Subject

NOW_NS = 10**12


@pytest.fixture
def asked(pi):
    def ask(*told):
        folder = pi.root / "run/midgrey"
        folder.mkdir(parents=True, exist_ok=True)
        if told:
            record.write(folder, NOW_NS - 10**9, told)
        return {each.subject: each for each in conditions({}, NOW_NS, pi.root)}

    return ask


def test_everything_has_a_row_also_where_it_is_fine(asked):
    made = asked()
    assert list(made) == [each for each in Subject if each is not Subject.BATTERY]
    assert made[Subject.POWER].severity is Severity.FINE
    assert made[Subject.TEMPERATURE].words == "48 °C; it slows down from 80 °C on"
    assert made[Subject.CARD].where == "/var/lib/midgrey"
    assert "while midgrey runs" in made[Subject.FRAMES].words


def test_frames_and_dips_are_told_by_the_running_appliance(asked):
    late = Condition(Subject.AGE, Severity.WARNING, "picture 0.40 s late", "send less")
    dips = Condition(Subject.POWER, Severity.NOTE, "too low 3 times since midgrey was started", "x")
    warm = Condition(Subject.TEMPERATURE, Severity.ALARM, "90 °C", "air")
    made = asked(late, dips, warm)
    assert made[Subject.AGE].words == late.words
    assert made[Subject.POWER].words == dips.words
    assert made[Subject.TEMPERATURE].severity is Severity.FINE, "it is looked at here and now"


def test_a_dip_now_goes_before_what_was_noted(pi, asked):
    pi.low_voltage(alarm=True)
    noted = Condition(Subject.POWER, Severity.NOTE, "once since midgrey was started", "x")
    assert asked(noted)[Subject.POWER].severity is Severity.ALARM


def test_without_an_appliance_the_folder_is_where_one_stands(cardboard, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    card = next(c for c in conditions({}, NOW_NS, cardboard.root) if c.subject is Subject.CARD)
    assert card.where == str(tmp_path)
