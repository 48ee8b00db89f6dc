"""The drawn scene off its file: the same to the last bit, and drawn anew whenever in doubt."""

import re
from pathlib import Path

import numpy as np
import pytest

from firmware.feeds.bench import kept_scene
from firmware.feeds.bench.kept_scene import kept_workshop
from firmware.feeds.bench.workshop import workshop

ROWS, COLUMNS = 36, 64


@pytest.fixture
def drawings(monkeypatch):
    """Small scenes are kept as well; the list grows with each one that is drawn."""
    drawn = []

    def draw(rows, columns):
        drawn.append((rows, columns))
        return workshop(rows, columns)

    monkeypatch.setattr(kept_scene, "KEPT_PIXELS", (1, 10**6))
    monkeypatch.setattr(kept_scene, "workshop", draw)
    return drawn


def only_file(folder):
    (path,) = folder.glob("*.scene")
    return path


def test_the_second_time_it_is_not_drawn_and_is_the_same(tmp_path, drawings):
    first = kept_workshop(ROWS, COLUMNS, tmp_path / "new")
    second = kept_workshop(ROWS, COLUMNS, tmp_path / "new")
    assert drawings == [(ROWS, COLUMNS)]
    assert second.dtype == np.uint16
    assert second.flags.writeable == first.flags.writeable  # else numba compiles once more
    assert np.array_equal(first, second)
    assert np.array_equal(first, workshop(ROWS, COLUMNS))


@pytest.mark.parametrize(
    "damage",
    [lambda data: data[:-1], lambda _: b"", lambda data: bytes([data[0] ^ 1]) + data[1:]],
    ids=["cut short", "empty", "a bit turned"],
)
def test_a_damaged_file_is_drawn_and_written_anew(tmp_path, drawings, damage):
    right = kept_workshop(ROWS, COLUMNS, tmp_path)
    path = only_file(tmp_path)
    path.write_bytes(damage(path.read_bytes()))
    assert np.array_equal(kept_workshop(ROWS, COLUMNS, tmp_path), right)
    assert len(drawings) == 2
    assert np.array_equal(kept_workshop(ROWS, COLUMNS, tmp_path), right)
    assert len(drawings) == 2


def test_what_other_code_drew_is_not_shown_and_goes(tmp_path, drawings, monkeypatch):
    kept_workshop(ROWS, COLUMNS, tmp_path)
    before = only_file(tmp_path)
    monkeypatch.setattr(kept_scene, "_DRAWN_BY", ("workshop.py",))
    kept_workshop(ROWS, COLUMNS, tmp_path)
    assert len(drawings) == 2
    assert only_file(tmp_path) != before


def test_it_goes_with_every_module_that_draws_it():
    folder, found, to_read = Path(kept_scene.__file__).parent, set(), ["workshop.py"]
    while to_read:
        name = to_read.pop()
        found.add(name)
        words = (folder / name).read_text()
        told = {f"{each}.py" for each in re.findall(r"firmware\.feeds\.bench\.(\w+) import", words)}
        if name != "sensor.py":  # of which light codes alone are drawn with
            to_read += told - found
    assert set(kept_scene._DRAWN_BY) == found


def test_no_more_than_a_few_are_kept(tmp_path, drawings):
    for columns in (64, 66, 68, 70):
        kept_workshop(ROWS, columns, tmp_path)
    assert len(list(tmp_path.glob("*.scene"))) == kept_scene.MOST_KEPT
    kept_workshop(ROWS, 70, tmp_path)
    assert len(drawings) == 4


def test_without_a_folder_and_where_none_can_be_written_it_is_drawn(tmp_path, drawings):
    (tmp_path / "file").write_text("")
    for folder in (None, tmp_path / "file" / "below"):
        assert np.array_equal(kept_workshop(ROWS, COLUMNS, folder), workshop(ROWS, COLUMNS))
    assert len(drawings) == 2


def test_small_and_huge_pictures_are_not_kept(tmp_path, monkeypatch):
    monkeypatch.setattr(kept_scene, "workshop", lambda *_: np.zeros((1, 1, 3)))
    for rows, columns in ((719, 1280), (1081, 1920)):
        kept_workshop(rows, columns, tmp_path)
    assert not list(tmp_path.iterdir())
