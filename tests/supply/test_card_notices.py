"""The list of a card's wheels is that of its lock; how it is made is tried on a wheel made here."""

import re
import zipfile

from hardware.card.lock import read_lock
from hardware.card.wheels import Wheel
from tests.supply import card_notices

KEPT = card_notices.NOTICES.read_text("utf-8")


def wheel(folder, name, licence, *files):
    path = folder / f"{name}-1-py3-none-any.whl"
    with zipfile.ZipFile(path, "w") as archive:
        for each in files:
            archive.writestr(each, "")
    return Wheel(name, "1", path, "0" * 64, licence)


def test_it_lists_the_lock_version_by_version():
    rows = re.findall(r"^\| ([a-z0-9-]+) \| (\S+) \| \S.* \|$", KEPT, re.MULTILINE)
    locked = [(entry.name, entry.version) for entry in read_lock(card_notices.LOCK)]
    assert [row for row in rows if row[0] != "package" and row[0].strip("-")] == locked


def test_what_a_wheel_carries_is_named_and_what_is_under_the_gpl_is_said(tmp_path):
    files = ("thing.libs/libx265-0a1b2c3d.so.216", "thing.libs/libz-0a1b2c3d.so.1", "thing/a.py")
    made = wheel(tmp_path, "thing", "MIT", *files)
    plain = wheel(tmp_path, "plain", "EPL-2.0", "plain/a.py")
    said = "\n".join(card_notices.lines((made, plain)))
    assert "| thing | 1 | MIT |" in said
    assert "- **thing 1**: libx265.so.216, libz.so.1" in said
    assert "- **thing 1** carries libx265.so.216, whose projects put them under the GPL" in said
    assert "- **plain 1** is EPL-2.0" in said
    assert "- **plain 1**:" not in said


def test_a_wheel_s_encoders_are_said_where_they_are_carried():
    carries = re.search(r"^- \*\*av \S+\*\*: (.*)$", KEPT, re.MULTILINE)[1]
    gpl = [each for each in carries.split(", ") if each.startswith(card_notices.UNDER_GPL)]
    conditions = KEPT.partition("## What has conditions")[2].partition("\n## ")[0]
    assert all(each in conditions for each in gpl)
