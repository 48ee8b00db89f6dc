"""Kernels made beforehand: laid where numba looks, and only those of this very card."""

import pytest

from firmware.system.kernel_cache import LEDGER
from hardware.card import kernels
from hardware.card.errors import ChoiceError
from tests.places import ROOT


def test_they_are_laid_out_with_modes_that_everybody_may_read(tmp_path):
    folder = tmp_path / "made"
    (folder / "counting_12ab").mkdir(parents=True, mode=0o700)
    (folder / "counting_12ab/k.nbi").write_bytes(b"k")
    (folder / "counting_12ab/k.nbi").chmod(0o600)
    (folder / "counting_12ab" / LEDGER).write_text("1 2 3 4 k.nbi\n")
    told = kernels.note("1.0.0", "cortex-a72", 7)
    (folder / kernels.NOTE).write_text(told)
    kernels.lay(folder, tmp_path / "tree", "1.0.0", told)
    place = tmp_path / "tree/var/cache/midgrey/kernels/1.0.0"
    assert (place / "counting_12ab/k.nbi").stat().st_mode & 0o777 == 0o644
    assert not (place / kernels.NOTE).exists()
    assert [path.name for path in (place / "counting_12ab").iterdir()] == ["k.nbi"]


@pytest.mark.parametrize("other", [("1.0.1", "cortex-a72", 7), ("1.0.0", "cortex-a53", 7)])
def test_those_of_another_card_are_refused(tmp_path, other):
    (tmp_path / kernels.NOTE).write_text(kernels.note(*other))
    with pytest.raises(ChoiceError, match="--make-kernels"):
        kernels.lay(tmp_path, tmp_path / "t", "1.0.0", kernels.note("1.0.0", "cortex-a72", 7))


def test_a_folder_without_any_is_said(tmp_path):
    with pytest.raises(ChoiceError, match="holds no kernels"):
        kernels.lay(tmp_path, tmp_path / "t", "1", kernels.note("1", "x", 1))


def test_the_place_is_the_one_that_the_unit_names():
    unit = (ROOT / "systemd/midgrey.service").read_text()
    assert f"Environment=NUMBA_CACHE_DIR=/{kernels.PLACE}" in unit.splitlines()
