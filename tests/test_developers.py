"""What DEVELOPERS.md points to is there: the files of its recipes, the rooms, the calls drawn."""

import ast
import re
import subprocess
from fnmatch import fnmatch

import pytest

from tests.places import ROOT

WHOLE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
NOW = WHOLE.split("\n## Changes\n")[0]
"""All that is true of the tree as it is; what has changed names files that are gone."""
FILE = re.compile(
    r"^[\w./<>*-]+\.(?:py|md|toml|csv|sh|txt|scad|js)$|^(?:overlays|firmware|tests)/\S*$"
)
ELSEWHERE = ("/", "../")
"""Paths of a unit, and what lies beside the tree."""


def tree():
    """Every file of the tree that is kept, and every folder."""
    listed = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.splitlines()
    folders = {str(each) for name in listed for each in (ROOT / name).relative_to(ROOT).parents}
    return [*listed, *folders]


def pointed_to(text):
    """Files and folders that a text names."""
    names = [name for name in re.findall(r"`([^`\n]+)`", text) if FILE.match(name)]
    names += [target for target in re.findall(r"\]\(([^)#]+)\)", text) if "://" not in target]
    return [name.rstrip("/") for name in names if not name.startswith(ELSEWHERE)]


def missing(text, paths):
    """What a text names and nobody has. A sentence about a room leaves out where that lies."""
    out = []
    for name in pointed_to(text):
        pattern = re.sub(r"<\w+>", "*", name)
        if not any(fnmatch(path, pattern) or fnmatch(path, f"*/{pattern}") for path in paths):
            out.append(name)
    return out


def section(heading):
    (found,) = re.findall(rf"^## {heading}\n(.*?)(?=^## |\Z)", WHOLE, re.MULTILINE | re.DOTALL)
    return found


def test_every_file_it_names_is_there():
    assert missing(NOW, tree()) == []


def test_recipes_name_their_files():
    recipes = re.findall(
        r"^- \*\*(.+?)\.\*\* (.*?)(?=^- |\Z)", section("Recipes.*?"), re.MULTILINE | re.DOTALL
    )
    assert len(recipes) >= 9
    assert [kind for kind, steps in recipes if not pointed_to(steps)] == []


@pytest.mark.parametrize("name", ["live/nothing.py", "nothing.py", "overlays/nothing"])
def test_what_is_not_there_is_found(name):
    assert missing(f"See `{name}` and `live/loop.py`.", ["firmware/live/loop.py"]) == [name]


def test_the_ways_that_it_draws_are_those_of_the_code():
    (drawn,) = re.findall(r"The ways, in calls:\n\n```\n(.*?)```", NOW, re.DOTALL)
    calls = set(re.findall(r"\b([A-Z]\w+)\.(\w+)", drawn))
    assert len(calls) >= 6
    methods = set()
    for package in ("overlays", "firmware"):
        for path in (ROOT / package).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text())):
                if isinstance(node, ast.ClassDef):
                    methods |= {
                        (node.name, each.name)
                        for each in node.body
                        if isinstance(each, ast.FunctionDef)
                    }
    assert calls - methods == set()
