from dataclasses import replace

import pytest

from firmware.answers.cleaner import enveloped
from firmware.instruments.registry import REGISTRY
from firmware.journal.composing import mark_of
from firmware.journal.store import Store
from firmware.journal.store_reader import StoreReader
from firmware.journal.verify import counted, verify, wrong_numbers
from firmware.opening.overrides import Overrides
from firmware.profiles.shelf import shipped_names
from overlays.signal.published import published_curves
from overlays.signal.signal import Matrix, Range
from tests.marked import SMALL, altered, in_view, mark, stamp

LOG = ",signal=yuv422-10,curve=V-Log", "log-v"
VIEWS = ("expose", "pins", "balance", "advice", "chart")


@pytest.fixture
def path(tmp_path):
    made = tmp_path / "journal.db"
    store = Store(made)
    for view in VIEWS:
        store.append(mark(view=view))
    store.close()
    return made


def found(path):
    with StoreReader(path) as file:
        return verify(file)


def test_every_number_is_found_again_by_the_codes(path):
    verdict = found(path)
    assert verdict.faults == ()
    assert (verdict.rows, verdict.marks) == (5, 5)
    assert verdict.numbers > 5 * 100 + 400
    assert verdict.sealed == 0


@pytest.mark.parametrize("curve", published_curves(), ids=lambda c: c.name)
def test_on_every_curve(curve):
    row = mark(f"{SMALL},curve={curve.name}", "advice")
    assert row.body["answer_from_codes"]
    assert counted(row)[1] == 0
    assert list(wrong_numbers(row)) == []


@pytest.mark.parametrize("name", ["headroom", "in_band", "footroom"])
def test_what_is_said_of_the_whole_picture_is_found_again(name):
    row = mark(SMALL + LOG[0], profile=LOG[1])
    frame = dict(row.body["read"]["frame"])
    frame[name] += 1e-6
    forged = with_read(row, {**row.body["read"], "frame": frame})
    (fault,) = wrong_numbers(forged)
    assert fault.startswith(f"frame.{name} is ")


def test_counts_that_are_altered_are_found_by_the_shares_made_of_them():
    """Ten pixels moved from one level to another: the sum is right, a share is not."""
    row = mark(SMALL + LOG[0], profile=LOG[1])
    inputs = row.body["inputs"]
    levels = list(inputs["counts"]["levels"])
    grey = round(row.body["read"]["spots"][0]["code"][0])  # which the profile's band is around
    levels[grey], levels[0] = levels[grey] - 10, levels[0] + 10
    inputs = {**inputs, "counts": {**inputs["counts"], "levels": levels}}
    forged = replace(row, body={**row.body, "inputs": inputs})
    assert any("in_band" in fault for fault in wrong_numbers(forged))


def test_a_mark_of_before_0_6_holds_its_picture_by_the_seal():
    row = mark(SMALL, "pins")
    inputs = {k: v for k, v in row.body["inputs"].items() if k not in {"extremes", "counts"}}
    body = {key: each for key, each in row.body.items() if key != "schema"}
    old = replace(row, body={**body, "inputs": inputs})
    assert list(wrong_numbers(old)) == []
    again, sealed = counted(old)
    assert (again + sealed, sealed > 20) == (counted(row)[0], True)


B = f"{SMALL},curve=S-Log3,exposure=-0.5,kelvin=5000"


@pytest.mark.parametrize(
    ("feed_a", "feed_b", "profiles"),
    [(SMALL, f"{SMALL},exposure=-0.5", (None, None)), (SMALL + LOG[0], B, (LOG[1], "log-s3"))],
)
def test_a_match_is_found_again_by_the_codes_of_both_cameras(feed_a, feed_b, profiles):
    seen = in_view(feed_b, "match", profile=profiles[1], camera_a=(feed_a, profiles[0]))
    row = mark_of(seen)
    assert row.body["answer_from_codes"]
    told = enveloped(REGISTRY.line_in_view(seen.view).object_of(seen.answer))
    for key in ("pins", "exposure_stops", "balance", "cdl", "cdl_whole", "advice"):
        assert row.body["answer"][key] == told[key]
    assert counted(row)[1] == 0
    assert list(wrong_numbers(row)) == []
    answer = {**row.body["answer"], "exposure_stops": row.body["answer"]["exposure_stops"] + 1e-6}
    (fault,) = wrong_numbers(replace(row, body={**row.body, "answer": answer}))
    assert fault.startswith("match.exposure_stops is ")


def test_without_the_codes_of_camera_a_a_match_is_no_longer_found():
    row = mark_of(in_view(f"{SMALL},exposure=-0.5", "match", camera_a=(SMALL, None)))
    left = row.body["codes"]["packed"]
    cut_short = replace(row, blobs={**row.blobs, "codes": row.blobs["codes"][:left]})
    (fault,) = wrong_numbers(cut_short)
    assert fault.startswith("cannot be recomputed: the stored codes")


def test_the_head_is_the_spot_s_own():
    row = mark()
    (fault,) = wrong_numbers(replace(row, head={**row.head, "stops_pm": 9.0}))
    assert fault == "its head says another number than its readings"


def with_read(row, read):
    return replace(row, body={**row.body, "read": read})


@pytest.mark.parametrize("profile", shipped_names())
def test_with_every_profile_that_ships(profile):
    assert list(wrong_numbers(mark(SMALL, "pins", profile=profile))) == []


@pytest.mark.parametrize("form", ["signal=nv12", "signal=yuv422-10", "signal=rgb"])
@pytest.mark.parametrize("range_", list(Range))
def test_of_every_kind_of_signal(form, range_):
    row = mark(f"{SMALL},{form}", "pins", overrides=Overrides(range=range_, matrix=Matrix.BT2020))
    assert list(wrong_numbers(row)) == []


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        (
            "UPDATE rows SET body = replace(body, '\"stops\"', '\"stopt\"') WHERE number = 2",
            "row 2 was changed",
        ),
        ("UPDATE rows SET still = x'00' WHERE number = 3", "row 3 was changed"),
        ("UPDATE rows SET wall_s = wall_s + 1 WHERE number = 1", "row 1 was changed"),
        ("UPDATE rows SET seal = zeroblob(32) WHERE number = 2", "row 2 was changed"),
        ("DELETE FROM rows WHERE number = 2", "row 2 up to row 3 were taken out"),
        ("DELETE FROM rows WHERE number = 5", "ended with row 5, and now ends with 4"),
        ("DELETE FROM last", "ended with row 0, and now ends with 5"),
    ],
)
def test_a_row_that_is_altered_or_taken_out_is_found(path, statement, said):
    altered(path, statement)
    assert any(said in each for each in found(path).faults)


def test_where_a_row_cannot_be_understood_what_was_found_up_to_it_is_said(path):
    altered(path, "UPDATE rows SET body = '{' WHERE number = 3")
    verdict = found(path)
    assert (verdict.rows, verdict.marks) == (2, 2)
    assert verdict.numbers > 0
    assert "row 3 cannot be understood" in verdict.faults[-1]


def test_a_number_that_is_altered_with_its_seal_is_found_by_its_codes(tmp_path):
    row = mark()
    body = {**row.body, "read": {**row.body["read"]}}
    spots = [dict(each) for each in body["read"]["spots"]]
    spots[1]["stops"] = round(spots[1]["stops"] + 1e-6, 6)
    body["read"]["spots"] = spots
    forged = type(row)(row.kind, row.stamp, row.head, body, row.blobs)
    store = Store(tmp_path / "journal.db")
    store.append(forged)
    store.close()
    (fault,) = found(tmp_path / "journal.db").faults
    assert fault.startswith("mark 1: spots 2.stops is ")
    assert "by its codes" in fault


@pytest.mark.parametrize(
    "change",
    [
        {"read": None},
        {"inputs": {}},
        {"profile": {"text": "curve = 3", "name": "x"}},
        {"codes": {"rows": 10**9, "columns": 2, "bytes": 1, "boxes": []}},
        {"codes": {"rows": 360, "columns": 640, "bytes": 1, "boxes": []}},
        {"codes": {"rows": 360, "columns": 640, "bytes": 2, "boxes": [[350, 0, 20, 20]]}},
    ],
)
def test_a_row_that_makes_no_sense_is_a_fault_and_no_traceback(change):
    row = mark()
    broken = type(row)(row.kind, stamp(), row.head, {**row.body, **change}, row.blobs)
    (fault,) = wrong_numbers(broken)
    assert fault.startswith("cannot be recomputed")
