import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firmware.health import record
from firmware.health.condition import Condition, Severity, Subject

MADE = (
    Condition(Subject.FRAMES, Severity.WARNING, "30 of 50 passed over", "send less", "line"),
    Condition(Subject.CARD, Severity.FINE, "4 GB left", where="/var/lib/midgrey"),
)
NOW_NS = 10**12


@pytest.fixture
def folder(cardboard):
    made = cardboard.root / "run/midgrey"
    made.mkdir(parents=True)
    return made


def test_what_is_written_is_read_by_another_process(cardboard, folder):
    record.write(folder, NOW_NS, MADE)
    read = record.read(NOW_NS + 5 * 10**9, cardboard.root)
    assert [(each.key, each.severity, each.words, each.remedy) for each in read] == [
        (each.key, each.severity, each.words, each.remedy) for each in MADE
    ]
    assert [path.name for path in folder.iterdir()] == ["health.json"]
    assert (folder / "health.json").stat().st_mode & 0o444 == 0o444


def test_what_is_old_or_of_another_start_is_nothing(cardboard, folder):
    record.write(folder, NOW_NS, MADE)
    assert record.read(NOW_NS + 60 * 10**9, cardboard.root) == ()
    assert record.read(NOW_NS - 1, cardboard.root) == ()


def test_a_folder_that_cannot_be_written_is_passed_over(tmp_path):
    record.write(tmp_path / "missing", NOW_NS, MADE)
    assert not (tmp_path / "missing").exists()
    assert record.read(NOW_NS, tmp_path) == ()


json_like = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["at_ns", "conditions", "subject", "severity", "words", "where"]), inner
        )
    ),
    max_leaves=12,
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=60) | json_like.map(lambda made: json.dumps(made).encode()))
def test_garbage_is_nothing(cardboard, folder, content):
    (folder / "health.json").write_bytes(content)
    assert isinstance(record.read(NOW_NS, cardboard.root), tuple)


def test_garbage_of_the_right_shape_is_nothing(cardboard, folder):
    one = {"subject": "power", "severity": "BAD", "words": "", "remedy": "", "where": ""}
    for conditions in (None, [one], [{**one, "severity": "FINE", "subject": "x"}], ["text"], 3):
        text = json.dumps({"at_ns": NOW_NS, "conditions": conditions})
        (folder / "health.json").write_text(text)
        assert record.read(NOW_NS, cardboard.root) == ()


def test_the_folder_is_the_services():
    assert record.run_folder({"RUNTIME_DIRECTORY": "/run/midgrey"}) == Path("/run/midgrey")
    assert record.run_folder({}) is None
    assert record.run_folder({"RUNTIME_DIRECTORY": "x"}) is None
