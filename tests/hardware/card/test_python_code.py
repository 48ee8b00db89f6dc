"""Code compiled beforehand: by a Python of the board's release, the same every time."""

import os
import subprocess
import sys

import pytest

from hardware.card import python_code
from tests.hardware.card.made import tools


def test_a_name_that_leads_to_no_python_is_none(tmp_path, monkeypatch):
    (tmp_path / python_code.NAME).write_text("#!/bin/sh\nexit 127\n")
    (tmp_path / python_code.NAME).chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    monkeypatch.setattr(python_code, "PYTHON", (3, 99))
    assert python_code.find(tools()) is None
    monkeypatch.setattr(python_code, "NAME", "python3.99")
    assert python_code.find(tools()) is None


def test_this_python_will_do_where_it_is_of_the_release(monkeypatch):
    monkeypatch.setattr(python_code, "PYTHON", sys.version_info[:2])
    assert python_code.find(tools()) == sys.executable


@pytest.mark.parametrize("date", [1, 2])
def test_what_is_compiled_does_not_depend_on_times(tmp_path, date):
    made = []
    for number in (0, date):
        folder = tmp_path / str(number) / "lib"
        (folder / "a").mkdir(parents=True)
        (folder / "a/one.py").write_text("def f():\n    return {'b': 1, 'a': frozenset('xyz')}\n")
        (folder / "a/wrong.py").write_text("print 'of an older language'\n")
        os.utime(folder / "a/one.py", (1e9 + number, 1e9 + number))
        python_code.compile_all(folder, "/opt/lib", sys.executable, tools())
        (compiled,) = folder.rglob("*.pyc")
        made.append(compiled.read_bytes())
    assert made[0] == made[1]
    assert b"/opt/lib/a/one.py" in made[0]
    assert str(tmp_path).encode() not in made[0]
    # Flags of PEP 552: by hash, and not looked at again.
    assert made[0][4] == 0b01
    run = [sys.executable, "-B", "-c", "import a.one; print(sorted(a.one.f()))"]
    done = subprocess.run(run, cwd=folder, capture_output=True, text=True, check=True)
    assert done.stdout == "['a', 'b']\n"
