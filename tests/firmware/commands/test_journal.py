import csv
import json
import xml.etree.ElementTree as ET
from dataclasses import replace

import av
import pytest

from firmware.instruments.registry import REGISTRY
from firmware.instruments.scene import Scene
from firmware.journal.composing import mark_of
from firmware.journal.store import Store
from overlays.measure.counting.census import Wants, take_census
from tests.clips import noisy
from tests.marked import SMALL, altered, in_view, mark
from tests.running import midgrey


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    made = tmp_path_factory.mktemp("journal") / "journal.db"
    store = Store(made)
    for view in ("expose", "pins"):
        store.append(mark(view=view))
    store.close()
    return made


def test_the_list_and_the_verdict(path):
    listed = midgrey("journal", "--journal", path)
    assert listed.returncode == 0
    assert listed.stdout.startswith("2026-11-27, times in UTC\n    1  00:00:00  ·  scene 12")
    verdict = midgrey("journal", "verify", "--journal", path)
    assert verdict.returncode == 0
    assert "2 rows, 2 of them marks, as they were written" in verdict.stdout
    assert midgrey("journal", "--journal", path, "--day", "2026-11-28").stdout == "No rows.\n"


def test_tables_are_written_for_post(path, tmp_path):
    done = midgrey(
        "journal", "--journal", path, "--csv", tmp_path / "a.csv", "--json", tmp_path / "a.json"
    )
    assert done.stdout == f"Wrote {tmp_path}/a.csv.\nWrote {tmp_path}/a.json.\n"
    with (tmp_path / "a.csv").open(newline="") as file:
        assert len(list(csv.DictReader(file))) == 8
    assert len(json.loads((tmp_path / "a.json").read_text())["rows"]) == 2


def test_a_changed_row_ends_with_a_sentence_and_a_status(path, tmp_path):
    copy = tmp_path / "copy.db"
    copy.write_bytes(path.read_bytes())
    altered(copy, "UPDATE rows SET still = x'00' WHERE number = 2")
    done = midgrey("journal", "verify", "--journal", copy)
    assert done.returncode == 2
    assert f"{copy}: row 2 was changed" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--journal", "none.db"], "there is no journal"),
        (["--day", "today"], "no day"),
        (["--csv", "a.txt"], "as csv"),
        (["--cdl", "nowhere"], "make it first"),
    ],
)
def test_what_cannot_be_done_is_said(path, tmp_path, words, said):
    given = [] if "--journal" in words else ["--journal", path]
    done = midgrey("journal", *given, *words, cwd=tmp_path)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_the_cdl_of_a_match_is_handed_on(tmp_path):
    a, b = (in_view(feed, "match") for feed in (SMALL, f"{SMALL},exposure=0.4,kelvin=5000"))
    instrument = REGISTRY.in_view(b.view)
    memory, settings = instrument.memory(), b.settings
    taken = type(settings)(taken=1)
    answers = [instrument.measure(_scene(each), taken, memory) for each in (a, b)]
    store = Store(tmp_path / "journal.db")
    store.append(mark_of(_with(b, answers[1], taken)))
    store.close()
    done = midgrey("journal", "--journal", store.path, "--cdl", tmp_path)
    assert done.returncode == 0
    found = sorted(tmp_path.glob("*.cc"))
    assert [each.name for each in found][:1] == ["0001-scene-12-shot-A-take-1-camera-A.cc"]
    slope = ET.parse(found[0]).find(".//{*}Slope")
    assert len(slope.text.split()) == 3
    assert midgrey("journal", "verify", "--journal", store.path).returncode == 0


def _scene(seen):
    wants = Wants.LEVELS | Wants.CHROMA | Wants.CLIPPING
    census = take_census(seen.frame, seen.yard, wants)
    return Scene(
        seen.frame, seen.yard, census, seen.read_with, seen.desk, seen.place, None, seen.range
    )


def _with(seen, answer, settings):
    return replace(seen, answer=answer, settings=settings)


START = "10:11:12:23"


def _footage(path):
    """Four pictures at 25 frames a second, whose file says where its time code starts."""
    with av.open(str(path), "w") as file:
        file.metadata["timecode"] = START
        stream = file.add_stream("ffv1", rate=25)
        stream.width, stream.height, stream.pix_fmt = 320, 180, "yuv420p"
        for frame in noisy(4):
            file.mux(stream.encode(frame))
        file.mux(stream.encode(None))


def test_time_codes_agree_with_the_footage_wherever_they_are_handed_on(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv("STATE_DIRECTORY", raising=False)
    clip = tmp_path / "take.mkv"
    _footage(clip)
    for number in (0, 3):
        marked = midgrey("read", clip, "--curve", "V-Log", "--frame", number, "--mark")
        assert marked.returncode == 0
    # What the file itself says, by libavformat, and counted on by 25 numbers a second.
    with av.open(str(clip)) as file:
        tags = {key.lower(): value for key, value in file.metadata.items()}
    assert tags["timecode"] == START
    expected = [START, "10:11:13:01"]
    done = midgrey(
        "journal",
        "--csv",
        tmp_path / "a.csv",
        "--json",
        tmp_path / "a.json",
        "--report",
        tmp_path / "a.html",
    )
    assert done.returncode == 0
    with (tmp_path / "a.csv").open(newline="") as file:
        lines = list(csv.DictReader(file))
    assert [line["timecode"] for line in lines] == expected
    assert {line["timecode_from"] for line in lines} == {"file"}
    rows = json.loads((tmp_path / "a.json").read_text())["rows"]
    assert [row["timecode"] for row in rows] == expected
    page = (tmp_path / "a.html").read_text()
    assert all(f"time code {code}</h3>" in page for code in expected)
    assert midgrey("journal", "verify").returncode == 0
    otio = pytest.importorskip("opentimelineio")
    assert midgrey("journal", "--markers", tmp_path / "a.otio").returncode == 0
    (found,) = otio.adapters.read_from_file(str(tmp_path / "a.otio")).find_clips()
    codes = [each.marked_range.start_time.to_timecode() for each in found.markers]
    assert codes == expected
    assert found.name == str(clip)


def test_where_no_match_was_marked_there_is_no_cdl_and_it_is_said(path, tmp_path):
    done = midgrey("journal", "--journal", path, "--cdl", tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "there is no CDL" in done.stdout
    assert list(tmp_path.glob("*.cc")) == []
