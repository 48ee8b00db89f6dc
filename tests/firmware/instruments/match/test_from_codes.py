"""A match with another unit, made again of own codes and of what that unit told."""

import json
from dataclasses import asdict, replace
from typing import cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.answers.cleaner import enveloped
from firmware.instruments.grounds import Grounds
from firmware.instruments.match.answer import MatchAnswer
from firmware.instruments.match.camera_a import NO_KIT, NOBODY, NONE_HEARD
from firmware.instruments.match.from_codes import MADE_OF, keep, places
from firmware.instruments.match.object import object_of
from firmware.journal.composing import mark_of
from firmware.journal.found_again import by_seal
from firmware.journal.inputs import decided_of, settings_object
from firmware.journal.row import canonical
from firmware.journal.store import Store
from firmware.journal.store_reader import StoreReader
from firmware.journal.verify import counted, verify, wrong_numbers
from overlays.signal.published import published_curves
from tests.marked import SMALL, altered, heard_in_view, in_view, unit_of

LOG = f"{SMALL},signal=yuv422-10,curve=V-Log"
SKIPPED = {"schema", "feed", "profile", "warnings"}
"""Of an answer: what was read and with what."""
BEARS = {"number", "x", "y", "stops", "luminance", "rgb_linear", "rgb_linear_pm"}
"""Numbers of a told pin that numbers of a match are made of as they are."""


@pytest.fixture(scope="module")
def unit():
    return unit_of(f"{LOG},exposure=0.5,kelvin=5000")


@pytest.fixture(scope="module")
def seen(unit):
    return heard_in_view(LOG, unit)


@pytest.fixture(scope="module")
def row(seen):
    return mark_of(seen)


def numbers_of(found, where=()):
    """Paths to all numbers in an object of JSON."""
    if isinstance(found, dict | list):
        for key, each in found.items() if isinstance(found, dict) else enumerate(found):
            yield from numbers_of(each, (*where, key))
    elif isinstance(found, int | float) and not isinstance(found, bool):
        yield where


def with_other(found, path, change):
    """The same object, with what stands at a path changed."""
    out = json.loads(json.dumps(found))
    at = out
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = change(at[path[-1]])
    return out


def forged(row, path, change):
    return replace(row, body=with_other(row.body, path, change))


def test_a_mark_says_what_the_screen_said(seen, row):
    told = enveloped(object_of(seen.answer))
    for key in ("a", "pins", "exposure_stops", "exposure_pm", "balance", "cdl", "cdl_whole"):
        assert row.body["answer"][key] == told[key], key
    assert row.body["answer"]["exposure_stops"] == pytest.approx(0.5, abs=0.05)
    assert row.body["files"]
    assert not row.body["answer_from_codes"]


def test_all_of_it_is_made_again(row):
    assert (list(wrong_numbers(row)), counted(row)[1], by_seal(row)) == ([], 0, ())
    assert counted(row)[0] > 150


@pytest.mark.parametrize("curve", published_curves(), ids=lambda curve: curve.name)
def test_on_every_curve(curve):
    here = f"{SMALL},curve={curve.name}"
    made = mark_of(heard_in_view(here, unit_of(f"{here},exposure=-0.5,signal=yuv422-10")))
    assert (list(wrong_numbers(made)), counted(made)[1], by_seal(made)) == ([], 0, ())
    assert made.body["answer"]["exposure_stops"] is not None


def test_what_was_told_stands_in_the_row_to_the_last_bit(unit, row):
    made_of = decided_of(json.loads(canonical(row.body["made_of"])), MADE_OF)
    assert made_of.pins == unit.pins
    assert (made_of.source, made_of.reading, made_of.why_not) == ("cam-a", unit.number, "")
    assert made_of.camera == unit.camera


def test_every_number_of_a_mark_that_is_altered_is_found(row):
    paths = [each for each in numbers_of(row.body["answer"]) if not SKIPPED & set(each)]
    assert len(paths) > 70
    for path in paths:
        (fault,) = wrong_numbers(forged(row, ("answer", *path), lambda number: number + 1))
        assert fault.startswith("match."), path


def test_words_and_files_with_another_number_are_found(row):
    words = row.head["words"]
    digit = next(each for each in words if each.isdigit())
    other = words.replace(digit, str((int(digit) + 1) % 10), 1)
    (fault,) = wrong_numbers(replace(row, head={**row.head, "words": other}))
    assert fault.startswith("words is ")
    changed = forged(row, ("files", 0, "text"), lambda text: text.replace("<Slope>", "<Slope>1"))
    assert any(each.startswith("files 1.text is ") for each in wrong_numbers(changed))


def test_every_told_number_that_is_altered_is_found_by_what_is_made_of_it(row):
    """A thousandth more: without the seal, by the numbers of the match alone."""
    told = row.body["made_of"]["pins"]
    paths = [each for each in numbers_of(told) if each[1] in BEARS]
    assert len(paths) == 3 * (5 + 3 + 3)
    for path in paths:
        changed = forged(
            row,
            ("made_of", "pins", *path),
            lambda number: number + 1 if isinstance(number, int) else number * 1.001,
        )
        assert list(wrong_numbers(changed)) != [], path


def test_pins_that_only_one_of_the_two_has_are_not_kept():
    more = unit_of(SMALL, ("0.5,0.5", "0.35,0.42", "0.61,0.43", "0.4,0.6"))
    made = mark_of(heard_in_view(SMALL, more))
    assert [each["number"] for each in made.body["made_of"]["pins"]] == [1, 2, 3]
    assert list(wrong_numbers(made)) == []


@pytest.mark.parametrize(
    ("units", "source", "words"),
    [
        (("cam-a",), "cam-a", "no match now: cam-a was last heard 7 s ago"),
        ((), "cam-a", "no match now: cam-a was not heard yet"),
        ((), NOBODY, f"no match now: {NONE_HEARD}"),
    ],
)
def test_where_nothing_comes_from_a_unit_a_mark_says_why_as_the_screen_does(units, source, words):
    silent = [unit_of(SMALL, name=each, why_not="cam-a was last heard 7 s ago") for each in units]
    made = mark_of(heard_in_view(SMALL, *silent, source=source))
    assert words in made.head["words"]
    assert made.body["answer"] is None
    assert (list(wrong_numbers(made)), by_seal(made)) == ([], ())


def test_without_a_kit_a_mark_says_that():
    shown = in_view(SMALL, "match")
    seen = replace(shown, answer=replace(cast("MatchAnswer", shown.answer), why_not=NO_KIT))
    grounds = keep(seen.answer)
    assert isinstance(grounds, Grounds)
    assert (grounds.made_of.source, grounds.made_of.why_not) == (NOBODY, NO_KIT)
    assert NO_KIT in mark_of(seen).head["words"]


def test_a_match_with_a_picture_keeps_codes_and_nothing_that_was_told():
    answer = in_view(SMALL, "match", camera_a=(SMALL, None)).answer
    assert keep(answer) is None
    assert places(answer) == ()


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("pins", 0, "rgb_linear", 0), 1e300),
        (("pins", 0, "rgb_linear", 0), float("nan")),
        (("pins", 0, "rgb_linear_pm", 1), -1.0),
        (("pins", 0, "luminance"), float("inf")),
        (("pins", 0, "number"), 10),
        (("pins", 0, "x"), 10**9),
        (("pins", 0, "clipped"), 1.5),
        (("pins", 0, "may_clip"), "X"),
        (("pins", 0, "warnings"), ["w"] * 13),
        (("pins", 0, "cut_off"), "c" * 401),
        (("pins",), [{}]),
        (("pins",), None),
        (("camera",), {str(n): n for n in range(40)}),
        (("source",), 3),
    ],
)
def test_what_no_unit_tells_is_refused_in_a_sentence(row, path, value):
    changed = forged(row, ("made_of", *path), lambda _old: value)
    (fault,) = wrong_numbers(changed)
    assert fault == "cannot be recomputed: what it was decided from cannot be understood"


def test_a_message_that_was_taken_out_is_missed(row):
    body = {key: each for key, each in row.body.items() if key != "made_of"}
    faults = list(wrong_numbers(replace(row, body=body)))
    assert any(each.startswith("match is ") and "nothing by its codes" in each for each in faults)


@given(data=st.data())
def test_bytes_of_what_was_told_that_are_altered_end_in_sentences(row, data):
    """Whatever stands there: no traceback, and what is said again is what is made of it."""
    text = bytearray(canonical(row.body["made_of"]).encode())
    for _ in range(data.draw(st.integers(1, 3))):
        text[data.draw(st.integers(0, len(text) - 1))] = data.draw(st.integers(0, 255))
    try:
        made_of = json.loads(text.decode())
    except ValueError:
        return  # no row comes out of the file: see the next test
    changed = replace(row, body={**row.body, "made_of": made_of})
    for fault in wrong_numbers(changed):
        assert " by its codes" in fault or fault.startswith("cannot be recomputed: ")


@pytest.mark.parametrize("old", ["rgb_linear", "cam-a", "percent", '"explained":0', "V-Log"])
def test_in_a_file_every_change_of_what_was_told_is_found(row, tmp_path, old):
    path = tmp_path / "journal.db"
    store = Store(path)
    store.append(row)
    store.close()
    with StoreReader(path) as file:
        assert (verify(file).faults, verify(file).sealed) == ((), 0)
    place = f"instr(body, '\"made_of\"') + instr(substr(body, instr(body, '\"made_of\"')), '{old}')"
    statement = f"substr(body, 1, {place} - 2) || '~' || substr(body, {place})"
    altered(path, f"UPDATE rows SET body = {statement} WHERE number = 1")
    with StoreReader(path) as file:
        assert verify(file).faults != ()


@given(
    st.floats(-1e6, 1e6),
    st.floats(0.0, 1e6),
    st.one_of(st.none(), st.floats(-100.0, 100.0)),
    st.floats(0.0, 1.0),
)
def test_whatever_may_be_told_comes_back_to_the_last_bit(unit, light, wide, stops, share):
    pins = tuple(
        replace(
            each,
            luminance=light,
            rgb_linear=(light,) * 3,
            rgb_linear_pm=(wide,) * 3,
            stops=stops,
            clipped=share,
        )
        for each in unit.pins
    )
    made_of = replace(MADE_OF("cam-a"), pins=pins)
    there = decided_of(json.loads(canonical(settings_object(made_of))), MADE_OF)
    assert asdict(there) == asdict(made_of)
    for one, other in zip(there.pins, pins, strict=True):
        assert one.spot().stops == other.spot().stops
