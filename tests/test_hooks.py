"""Hooks of pre-commit that are no command of their own; the others are run by `test_quality.py`."""

import re
import shlex
import subprocess
import sys

import pytest

from tests.places import ROOT

HOOKS = (ROOT / ".pre-commit-config.yaml").read_text()


def entry(hook):
    (found,) = re.findall(rf"- id: {hook}\n(?: +\w+:.*\n)*? +entry: (.*)\n", HOOKS)
    return shlex.split(found)


@pytest.mark.parametrize(
    ("subject", "status"), [("Say why", 0), ("x" * 72, 0), ("x" * 73, 1), ("é" * 72, 0)]
)
def test_a_subject_that_git_would_fold_is_refused(tmp_path, subject, status):
    message = tmp_path / "COMMIT_EDITMSG"
    message.write_text(f"{subject}\n\n{'The body may be as wide as it likes. ' * 9}\n")
    python, *words = entry("subject")
    assert python == "python"
    done = subprocess.run([sys.executable, *words, str(message)], check=False)
    assert done.returncode == status


def test_every_tool_that_the_whole_check_runs_is_a_hook():
    named = set(re.findall(r"- id: ([\w-]+)", HOOKS))
    assert named == {"lint", "format", "types", "spelling", "subject"}
