"""The README's two ways to install, one after the other in the same environment."""

import subprocess
import sys
import tomllib
from pathlib import Path

from tests.places import ROOT

# Setuptools puts a plain path where all packages lie under one folder that is said to be their
# root; else an import hook (its user guide, "Development Mode").
CALL = """
import site, sys
site.addsitedir(sys.argv[1])
import firmware.errors
print(firmware.errors.__file__)
"""


def test_an_editable_install_is_a_path_and_no_import_hook():
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert settings["tool"]["setuptools"]["package-dir"] == {"": "."}


def test_kernels_left_behind_by_an_earlier_install_do_not_pass_for_the_package(tmp_path):
    left = tmp_path / "firmware" / "feeds" / "__pycache__"
    left.mkdir(parents=True)
    (left / "bench_kernels.render-54.py311.nbi").touch()
    (tmp_path / "__editable__.midgrey.pth").write_text(f"{ROOT}\n", encoding="utf-8")
    told = subprocess.run(
        [sys.executable, "-I", "-S", "-c", CALL, str(tmp_path)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert Path(told.stdout.strip()) == ROOT / "firmware" / "errors.py"
