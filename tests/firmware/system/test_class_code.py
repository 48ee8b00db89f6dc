"""Code of dataclasses that is kept: the same classes, sooner; and nothing of a file not whole."""

import dataclasses
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import firmware.commands.build  # noqa: F401 - what makes it too late here
from firmware.system import class_code
from firmware.system.class_code import NAME, ClassCode, keeping_code, read
from tests.places import ROOT
from tests.running import process

TEXT = "def made(a, b=2):\n return a + b\n"
HOW = st.fixed_dictionaries(
    {name: st.booleans() for name in ("repr", "frozen", "slots", "kw_only", "match_args")}
)
NAMES = st.lists(
    st.from_regex(r"[a-z][a-z0-9_]{0,6}_", fullmatch=True), min_size=1, max_size=5, unique=True
)


def made_by(code: ClassCode) -> int:
    names: dict[str, object] = {}
    code.execute(TEXT, {}, names)
    made = names["made"]
    assert callable(made)
    return int(made(40))


def written(folder: Path) -> Path:
    code = ClassCode({})
    assert made_by(code) == 42
    path = folder / NAME
    path.write_bytes(code.content())
    return path


def test_what_was_compiled_once_is_not_compiled_again(tmp_path, monkeypatch):
    first = ClassCode(read(written(tmp_path)))
    monkeypatch.setattr("builtins.compile", None)
    assert made_by(first) == made_by(first) == 42
    assert first.fresh == 0


def test_another_text_is_compiled_and_counted_once():
    code = ClassCode({})
    assert [made_by(code), code.fresh, made_by(code), code.fresh] == [42, 1, 42, 1]


@given(how=HOW, names=NAMES)
def test_classes_are_those_that_dataclasses_makes(how, names):
    fields = [(name, int, dataclasses.field(default=at)) for at, name in enumerate(names)]

    def shown(kind: type) -> tuple[object, ...]:
        one, other = kind(), kind(**{names[0]: 9})
        said = repr(one) if how["repr"] else ""
        return (
            dataclasses.astuple(one),
            dataclasses.astuple(other),
            one == kind(),
            one == other,
            said,
            getattr(kind, "__match_args__", None),
            getattr(kind, "__slots__", None),
            kind.__hash__ is None,
        )

    wanted = shown(dataclasses.make_dataclass("Made", fields, **how))
    code = ClassCode({})
    again = None
    for known in (code, None):
        used = known or ClassCode(again or {})
        with pytest.MonkeyPatch.context() as patch:
            patch.setitem(vars(dataclasses), "exec", used.execute)
            assert shown(dataclasses.make_dataclass("Made", fields, **how)) == wanted
        assert used.fresh if known else not used.fresh
        again = used._kept


@given(cut=st.floats(0.0, 1.0, exclude_max=True))
def test_of_a_file_that_is_cut_short_nothing_is_taken(tmp_path_factory, cut):
    path = written(tmp_path_factory.mktemp("cut"))
    whole = path.read_bytes()
    path.write_bytes(whole[: int(cut * len(whole))])
    assert read(path) == {}


@given(at=st.floats(0.0, 1.0, exclude_max=True), bit=st.integers(0, 7))
def test_of_a_file_with_a_bit_turned_nothing_is_taken(tmp_path_factory, at, bit):
    path = written(tmp_path_factory.mktemp("turned"))
    content = bytearray(path.read_bytes())
    content[int(at * len(content))] ^= 1 << bit
    path.write_bytes(content)
    assert read(path) == {}


def test_of_another_python_nothing_is_taken(tmp_path, monkeypatch):
    path = written(tmp_path)
    assert read(path)
    monkeypatch.setattr(class_code, "_MAGIC", class_code._MAGIC[:-1] + b"?")
    assert read(path) == {}


def test_what_is_no_file_or_too_large_is_as_if_not_there(tmp_path, monkeypatch):
    assert read(tmp_path / "none") == read(tmp_path) == {}
    path = written(tmp_path)
    monkeypatch.setattr(class_code, "MOST_BYTES", 10)
    assert read(path) == {}


def test_a_file_that_grew_too_long_keeps_what_was_used(monkeypatch, tmp_path):
    monkeypatch.setattr(class_code, "MOST_TEXTS", 3)
    known = {bytes([number]): b"" for number in range(3)}
    code = ClassCode(dict(known))
    (tmp_path / NAME).write_bytes(code.content())
    assert read(tmp_path / NAME) == known
    made_by(code)
    (tmp_path / NAME).write_bytes(code.content())
    (only,) = read(tmp_path / NAME)
    assert only not in known


def test_where_everything_is_loaded_nothing_is_done(tmp_path):
    keep = keeping_code({"NUMBA_CACHE_DIR": str(tmp_path)})
    keep()
    assert not list(tmp_path.iterdir())
    assert "exec" not in vars(dataclasses)


def early(monkeypatch: pytest.MonkeyPatch, folder: Path | None) -> None:
    """As in a process that has loaded nothing yet; one class is then made."""
    monkeypatch.setattr(class_code, "FIRST", "nothing.of.that.name")
    monkeypatch.setitem(vars(dataclasses), "exec", exec)  # put back afterwards
    keep = keeping_code({} if folder is None else {"NUMBA_CACHE_DIR": str(folder)})
    dataclasses.make_dataclass("Early", ["early"])
    keep()


def test_a_folder_is_made_where_there_is_none_yet(tmp_path, monkeypatch):
    early(monkeypatch, tmp_path / "new/kernels")
    assert read(tmp_path / "new/kernels" / NAME)


def test_nothing_is_written_where_nothing_is_new(tmp_path, monkeypatch):
    early(monkeypatch, tmp_path)
    before = (tmp_path / NAME).stat()
    early(monkeypatch, tmp_path)
    after = (tmp_path / NAME).stat()
    assert (before.st_ino, before.st_mtime_ns) == (after.st_ino, after.st_mtime_ns)


@pytest.mark.parametrize("own", ["own", None])
def test_what_lies_beside_the_code_is_taken_where_it_is_only_read(tmp_path, monkeypatch, own):
    (tmp_path / "beside").mkdir()
    early(monkeypatch, tmp_path / "beside")
    folders = [tmp_path / "beside", tmp_path / "own"]
    monkeypatch.setattr(class_code, "places", lambda _: folders)
    monkeypatch.setattr(class_code, "writable_folder", lambda _: own and tmp_path / own)
    early(monkeypatch, tmp_path)
    assert not (tmp_path / "own").exists()


def test_whoever_may_write_beside_the_code_takes_nothing_out_of_a_users_folder(
    tmp_path, monkeypatch
):
    (tmp_path / "user").mkdir()
    early(monkeypatch, tmp_path / "user")
    folders = [tmp_path / "beside", tmp_path / "user"]
    monkeypatch.setattr(class_code, "places", lambda _: folders)
    monkeypatch.setattr(class_code, "writable_folder", lambda _: folders[0])
    early(monkeypatch, tmp_path)
    # The class was kept in the user's folder, and was compiled and kept anew all the same.
    assert read(folders[0] / NAME).keys() == read(folders[1] / NAME).keys()


@pytest.mark.parametrize("named", [True, False])
def test_where_python_writes_no_compiled_code_a_folder_must_be_named(tmp_path, monkeypatch, named):
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    monkeypatch.setattr(class_code, "writable_folder", lambda _: tmp_path)
    early(monkeypatch, tmp_path if named else None)
    assert bool(list(tmp_path.iterdir())) == named


def test_a_card_that_takes_nothing_ends_no_command(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    early(monkeypatch, tmp_path / "file/below")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(class_code, "save", full)
    early(monkeypatch, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


COUNTED = """
import dataclasses, sys
from firmware.__main__ import main
sys.argv = ["midgrey", "profiles"]
try:
    main()
finally:
    code = vars(dataclasses)["exec"].__self__
    print(code.fresh, len(code._used), file=sys.stderr)
"""


def test_a_start_takes_nearly_all_from_what_was_kept(tmp_path):
    around = {"NUMBA_CACHE_DIR": str(tmp_path)}

    def counted() -> tuple[int, int]:
        done = process(start=(sys.executable, "-c", COUNTED), environ=around, cwd=ROOT)
        assert done.returncode == 0, done.stderr
        fresh, used = done.stderr.split()[-2:]
        return int(fresh), int(used)

    done = process(start=(sys.executable, "-m", class_code.__name__), environ=around, cwd=ROOT)
    assert done.returncode == 0, done.stderr
    fresh, used = counted()
    assert used > 100
    assert fresh < 0.05 * used
    # What this command alone wants was kept at its end.
    assert counted() == (0, used)
