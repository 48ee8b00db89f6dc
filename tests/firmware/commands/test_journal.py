import csv
import json
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from firmware.instruments.registry import REGISTRY
from firmware.instruments.scene import Scene
from firmware.journal.composing import mark_of
from firmware.journal.store import Store
from overlays.measure.counting.census import Wants, take_census
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
