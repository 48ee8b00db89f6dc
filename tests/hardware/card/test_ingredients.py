"""What is looked at and fetched before a card is made."""

import pytest

from hardware.card import debs, ingredients, sparse, wheels
from hardware.card.errors import ImageError
from tests.hardware.card import made
from tests.hardware.card.made import needs_tools, tools
from tests.hardware.card.test_making import order

pytestmark = needs_tools


@pytest.fixture
def root(tmp_path):
    image = made.image(tmp_path)
    sparse.take_out(image, made.ROOT.start_bytes, made.ROOT.size_bytes, tmp_path / "root")
    return tmp_path / "root"


def test_what_is_there_is_not_fetched_again(tmp_path, root, monkeypatch):
    made.wheels(tmp_path / "wheels")
    made.packages(tmp_path / "debs")
    for module in (wheels, debs):
        monkeypatch.setattr(module, "fetch", lambda *_: pytest.fail("fetched"))
    asked = order(tmp_path, tmp_path / "out.img", fetch=True)
    chosen, packages = ingredients.ingredients(asked, root, tools(), print)
    assert [each.name for each in chosen] == ["thing"]
    assert {each.name for each in packages} == set(debs.wanted(asked.chosen))


def test_what_is_missing_is_fetched_where_that_is_asked_for(tmp_path, root, monkeypatch):
    lock = made.wheels(tmp_path / "elsewhere")
    assert lock.exists()

    def fetch(_lock, folder, _tools):
        for path in (tmp_path / "elsewhere").iterdir():
            path.rename(folder / path.name)

    # Of an older lock.
    (tmp_path / "wheels").mkdir()
    (tmp_path / "wheels/thing-0-py3-none-any.whl").touch()
    monkeypatch.setattr(wheels, "fetch", fetch)
    monkeypatch.setattr(debs, "fetch", lambda *words: made.packages(words[2]))
    monkeypatch.setattr(ingredients, "sources_of", lambda *_: None)
    asked = order(tmp_path, tmp_path / "out.img", fetch=True)
    chosen, packages = ingredients.ingredients(asked, root, tools(), print)
    assert len(chosen) == 1
    assert packages


def test_an_image_that_names_no_archive_is_said(tmp_path, root):
    (tmp_path / "keys").mkdir()
    with pytest.raises(ImageError, match="--debs"):
        ingredients.sources_of(root, "", tmp_path / "keys", tools())
