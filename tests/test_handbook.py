"""README and the handbook: the morning goes through, links and keys are there."""

import re
import shlex

import pytest

from firmware.commands.schema import schemas
from tests.links import broken
from tests.places import HANDBOOK, ROOT
from tests.running import midgrey

PAGES = sorted(HANDBOOK.glob("*.md"))
LINKING = [ROOT / "README.md", ROOT / "hardware/README.md", ROOT / "systemd/README.md", *PAGES]
README = (ROOT / "README.md").read_text(encoding="utf-8")
OF_THE_MACHINE = "doctor"
"""Tells of the machine that it runs on, and so ends well or not by that."""


@pytest.mark.parametrize("page", LINKING, ids=lambda page: str(page.relative_to(ROOT)))
def test_no_link_leads_nowhere(page):
    assert broken(page) == []


def test_a_link_that_leads_nowhere_is_found(tmp_path):
    page = tmp_path / "page.md"
    page.write_text("# One way\n[a](#one-way) [b](#another) [c](page.md#one-way) [d](none.md)\n")
    assert broken(page) == ["#another", "none.md"]


def test_readme_leads_to_every_page():
    for page in PAGES:
        assert f"(firmware/handbook/{page.name})" in README, page.name


def morning():
    """The commands of README's morning, in order, with what its shell would put in."""
    (block,) = re.findall(r"^## One morning\n.*?```sh\n(.*?)```", README, re.MULTILINE | re.DOTALL)
    known, out = {}, []
    for line in block.replace("\\\n", " ").splitlines():
        words = shlex.split(line, comments=True)
        if len(words) == 1 and "=" in words[0]:
            name, _, value = words[0].partition("=")
            known[name] = value
        elif words:
            out.append([re.sub(r"\$(\w+)", lambda found: known[found[1]], each) for each in words])
    return out


def test_the_morning_of_readme_goes_through(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    commands = morning()
    assert len(commands) >= 10
    for command, *words in commands:
        assert command == "midgrey"
        done = midgrey(*words, cwd=tmp_path)
        assert done.returncode == 0 or words[0] == OF_THE_MACHINE, (words, done.stderr)
    for name in ("looks.png", "b_to_a.cdl", "day.html", "day.csv"):
        assert (tmp_path / name).stat().st_size > 100, name


def test_the_projection_of_readme_is_that_of_the_hardware_page():
    (heading,) = re.findall(r"^\| frame \|.*$", README, re.MULTILINE)
    table = README[README.index(heading) :].split("\n\n")[0]
    assert table.count("\n") == 4
    rows = {line.split("|")[1]: line for line in table.splitlines()[2:]}
    page = (ROOT / "hardware/README.md").read_text(encoding="utf-8")
    for line in rows.values():
        assert f"{line}\n" in page


def keys_of(page):
    """Keys that the tables of a page name, by the command whose object they are said to be of."""
    text, out, command, by_command = (HANDBOOK / page).read_text(encoding="utf-8"), [], None, False
    for line in text.splitlines():
        told = re.findall(r"`(\w+) --json`", line)
        command = told[-1] if told else command
        by_command = line.startswith("| `--json` of") or (by_command and line.startswith("|"))
        row = re.match(r"\| (`[^|]*`) \| ([^|]*)", line)
        if row and by_command:
            named = re.match(r"`(\w+)`", row[1])
            out += [(named[1], key) for key in re.findall(r"`([^`]+)`", row[2]) if named]
        elif row and command:
            out += [(command, key) for key in re.findall(r"`([^`]+)`", row[1])]
    return out


def names_in(schema):
    """Every property's name in a schema."""
    if isinstance(schema, dict):
        own = set(schema.get("properties", {}))
        return own.union(*map(names_in, schema.values())) if schema else own
    return set().union(*map(names_in, schema)) if isinstance(schema, list) else set()


@pytest.mark.parametrize("page", ["answers.md", "exposure.md", "colour.md"])
def test_every_key_of_its_tables_is_in_the_schema(page):
    found = keys_of(page)
    assert len(found) > 10
    names = {command: names_in(schemas(command)) for command in {command for command, _ in found}}
    for command, key in found:
        leaf = re.split(r"\W+", key.removesuffix("[]"))[-1]
        assert leaf in names[command], (command, key)
