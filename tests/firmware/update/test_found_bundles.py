import pytest

from firmware.update.found_bundles import offer
from firmware.update.slots import note_given_up
from tests.updates import made_key, made_unit, made_update, made_version


@pytest.fixture(scope="module")
def bundles(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bundles")
    key, signers = made_key(folder, "ours")
    other, _ = made_key(folder, "theirs")
    made = {v: made_update(folder, v, key) for v in ("0.1.0", "0.2.0", "0.10.0")}
    (folder / "x").mkdir()
    made["other"] = made_update(folder / "x", "9.9.9", other)
    return made, signers


@pytest.fixture
def unit(bundles, tmp_path):
    return made_unit(tmp_path / "unit", "0.1.0", signers=bundles[1])


def put(folder, *bundles):
    folder.mkdir(parents=True, exist_ok=True)
    for number, each in enumerate(bundles):
        (folder / f"{number}.update").write_bytes(each.read_bytes())
    return folder


def test_the_newest_is_offered_wherever_it_lies(bundles, unit, tmp_path):
    made, _ = bundles
    card = put(tmp_path / "card", made["0.1.0"], made["0.2.0"])
    put(card / "midgrey", made["0.10.0"])
    found = offer([tmp_path / "none", card], unit)
    assert (found.path, found.refused) == (card / "midgrey/0.update", ())


def test_nothing_older_the_same_or_given_up_is_offered(bundles, unit, tmp_path):
    made, _ = bundles
    card = put(tmp_path / "card", made["0.1.0"], made["0.2.0"])
    note_given_up(unit.places, "0.2.0", "it did not prove itself")
    assert offer([card], unit).path is None
    assert offer([put(tmp_path / "b", made["0.10.0"])], unit).path is not None
    made_version(unit.places.releases, "0.10.0")
    assert offer([tmp_path / "b"], unit).path is None


def test_a_stranger_is_said_and_does_not_keep_others_back(bundles, unit, tmp_path):
    made, _ = bundles
    card = put(tmp_path / "card", made["other"], made["0.2.0"])
    found = offer([card], unit)
    assert found.path == card / "1.update"
    assert len(found.refused) == 1
    assert "0.update: it is not signed" in found.refused[0]


def test_hidden_and_other_files_are_not_looked_at(unit, tmp_path):
    card = put(tmp_path / "card")
    for name in ("._0.2.0.update", ".part.update", "notes.txt", "x.update.sig"):
        (card / name).write_bytes(b"x")
    (card / "folder.update").mkdir()
    assert offer([card], unit) == offer([], unit)
