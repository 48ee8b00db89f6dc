"""The file that is sent: readable by a person and by a machine, the same for the same findings."""

import io
import json
import zipfile

import pytest

from firmware.selftest.found import (
    CheckedRow,
    Figure,
    MachineObject,
    RowFound,
    RowOutcome,
    Seer,
    SelftestObject,
)
from firmware.selftest.packing import JSON, TEXT, packed, text_of
from firmware.selftest.questions import Photograph

FOUND = SelftestObject(
    MachineObject(None, "Debian", "6.12", "aarch64", "0.8.0", None, "a bridge"),
    is_alone=False,
    feed="v4l2:/dev/video0",
    steps=(
        CheckedRow(
            1,
            "first?",
            "run",
            "expect",
            "a screen",
            RowFound(
                RowOutcome.AS_EXPECTED,
                "seen",
                (Figure("age", float("nan"), "ms"), Figure("rate", None)),
                Seer.PERSON,
                "grey",
                "step-01.jpg",
            ),
        ),
        CheckedRow(
            2, "second?", "run", "expect", "a panel", RowFound(RowOutcome.CANNOT, "none here")
        ),
    ),
)


def test_everything_lies_in_one_file_without_a_number_that_is_none():
    content = packed(FOUND, [Photograph("step-01.jpg", b"bytes")])
    assert content == packed(FOUND, [Photograph("step-01.jpg", b"bytes")])
    with zipfile.ZipFile(io.BytesIO(content)) as pack:
        assert pack.namelist() == [TEXT, JSON, "step-01.jpg"]
        told = json.loads(pack.read(JSON), parse_constant=pytest.fail)
        assert pack.read(TEXT).decode() == text_of(FOUND)
        assert pack.read("step-01.jpg") == b"bytes"
    assert told["schema"] == 1
    assert told["steps"][0]["found"]["outcome"] == "as expected"
    assert told["steps"][0]["found"]["figures"][0] == {"name": "age", "value": None, "unit": "ms"}


def test_a_person_reads_what_was_seen_by_whom_and_what_is_missing():
    text = text_of(FOUND)
    assert "2 steps: 1 as expected, 0 not as expected, 0 open, 1 cannot be done here" in text
    assert "as expected (seen by a person): seen" in text
    assert "written: grey" in text
    assert "photograph: step-01.jpg" in text
    assert "needs: a panel" in text
    assert "a day that is not known" in text
