"""Presets as laptops write them: right ones, and every mistake with its line and a remedy."""

import os

import pytest

from firmware.actions import Press
from firmware.errors import PresetError
from firmware.presets.model import Allowed
from firmware.presets.reader import read_choice, read_preset

WHOLE = """\
title = "Main unit, day"
feed = "v4l2:/dev/video0"
profile = "log-v"
view = "reading"
target = "-0.5 st"
target_within = "0.2 st"
lock = true
lock_allows = ["spot", "clear"]
lock_code = "hold stripes hold next_view"
"""


@pytest.fixture
def write(tmp_path):
    def written(content, name="kit.toml"):
        path = tmp_path / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return written


def test_all_of_a_preset_is_understood(write):
    found = read_preset(write(WHOLE))
    assert (found.name, found.title) == ("kit", "Main unit, day")
    assert dict(found.asked) == {
        "feed": "v4l2:/dev/video0",
        "profile": "log-v",
        "view": "reading",
    }
    assert (str(found.target), found.within_stops) == ("-0.5 st", 0.2)
    assert found.lock.allows == {Allowed.SPOT, Allowed.CLEAR}
    assert found.lock.code == (Press.HOLD, Press.STRIPES, Press.HOLD, Press.NEXT_VIEW)


def test_phones_may_bring_versions_where_it_says_so(write):
    assert read_preset(write("page_updates = true\n")).page_updates is True
    assert read_preset(write("")).page_updates is False
    with pytest.raises(PresetError, match="page_updates"):
        read_preset(write('page_updates = "yes"\n'))


def test_an_empty_one_asks_for_nothing(write):
    found = read_preset(write(""))
    assert (found.asked, found.lock, found.target, found.title) == ((), None, None, "kit")


@pytest.mark.parametrize(
    "content",
    [
        b"\xef\xbb\xbf" + WHOLE.encode(),
        WHOLE.replace("\n", "\r\n").encode(),
        b"\xef\xbb\xbf" + WHOLE.replace("\n", "\r\n").encode(),
    ],
)
def test_however_a_laptop_saves_text_it_is_the_same(write, content):
    assert read_preset(write(content)).asked == read_preset(write(WHOLE, "other.toml")).asked


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ('profile = "nonesuch"\n', r"kit.toml:1: profile: unknown profile 'nonesuch'"),
        ('\nview = "nonesuch"\n', r"kit.toml:2: view: unknown view 'nonesuch'"),
        ('curve = "x"\n', r"kit.toml:1: curve: "),
        ('range = "x"\n', r"kit.toml:1: range: "),
        ("rotate = 45\n", r"kit.toml:1: rotate: "),
        ('target = "5"\n', r"kit.toml:1: target: '5' has no unit"),
        ('target_within = "5 %"\n', r"kit.toml:1: target_within: '5 %' is no tolerance"),
        ('lock = "yes"\n', r"kit.toml:1: lock: 'yes' is not yes or no; write true or false"),
        ('lock = true\nlock_allows = "spot"\n', r"kit.toml:2: lock_allows: 'spot' is not a list"),
        ('lock = true\nlock_allows = ["sport"]\n', r"lock_allows: .*spot"),
        ('lock = true\nlock_code = "hold"\n', r"lock_code: 'hold' is no code; write 4 to 12"),
        ('lock = true\nlock_code = "a b c d"\n', r"lock_code: 'a' is no press"),
        ('lock_allows = ["spot"]\n', r"lock_allows: says what a lock does, and there is none"),
        ("lokc = true\n", r"kit.toml:1: lokc: there is no such key; .*lock"),
        ("lock = true\nlock = false\n", r"kit.toml:2: lock is given twice, first in line 1"),
        (b'title = "caf\xe9"\n', r"kit.toml:1: is not UTF-8 text from here on; save it as UTF-8"),
        (WHOLE.encode("utf-16"), r"is not UTF-8 text from here on"),
        (b"\0" * 300_000, r"is larger than a preset can be"),
        (b"a = " + b"[" * 3000, r"kit.toml: "),
    ],
)
def test_a_mistake_has_its_line_and_a_remedy(write, content, said):
    with pytest.raises(PresetError, match=said):
        read_preset(write(content))


def test_all_mistakes_come_together(write):
    with pytest.raises(PresetError) as fault:
        read_preset(write('view = "x"\nprofile = "y"\nlock = 3\nnonsense = 1\n'))
    lines = str(fault.value).splitlines()
    assert [line.split(":")[1] for line in lines] == ["1", "2", "3", "4"]


def test_links_pipes_and_folders_are_none(tmp_path):
    (tmp_path / "link.toml").symlink_to("/etc/passwd")
    with pytest.raises(PresetError, match="is a link; put the file itself there"):
        read_preset(tmp_path / "link.toml")
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "folder.toml").mkdir()
    for name in ("pipe", "folder", "gone"):
        with pytest.raises(PresetError, match="cannot be read"):
            read_preset(tmp_path / f"{name}.toml")


def test_the_choice_is_read(write):
    assert read_choice(write('boot = "kit"\n', "midgrey.toml")) == "kit"
    with pytest.raises(PresetError, match=r"midgrey.toml: boot: is missing"):
        read_choice(write("", "midgrey.toml"))
