"""Nothing loaded that is not used, nothing collected meanwhile, nothing waited for."""

import gc
import importlib
import sys
import threading

import pytest

from firmware.system.start_up import Loading, collection_held, resume_collection, without, worked


@pytest.fixture
def unloaded(tmp_path, monkeypatch):
    """The name of a module that can be imported and is not yet."""
    (tmp_path / "somewhere_else.py").write_text("THERE = True\n")
    monkeypatch.syspath_prepend(tmp_path)
    yield "somewhere_else"
    sys.modules.pop("somewhere_else", None)


def test_what_is_done_without_cannot_be_imported_until_after(unloaded):
    with without(unloaded), pytest.raises(ImportError):
        importlib.import_module(unloaded)
    assert importlib.import_module(unloaded).THERE


def test_what_is_loaded_already_stays(unloaded):
    loaded = importlib.import_module(unloaded)
    with without(unloaded):
        assert importlib.import_module(unloaded) is loaded
    assert sys.modules[unloaded] is loaded


def test_it_can_be_imported_again_after_a_failure(unloaded):
    with pytest.raises(ZeroDivisionError), without(unloaded):
        raise ZeroDivisionError
    assert importlib.import_module(unloaded).THERE


@pytest.fixture
def collecting():
    """Collection is on, before and after, and nothing stays out of its sight."""
    assert gc.isenabled()
    yield
    gc.enable()
    gc.unfreeze()


@pytest.mark.usefixtures("collecting")
def test_no_garbage_is_collected_inside():
    with collection_held():
        assert not gc.isenabled()
    assert gc.isenabled()


@pytest.mark.usefixtures("collecting")
def test_it_is_collected_again_after_a_failure():
    with pytest.raises(ZeroDivisionError), collection_held():
        raise ZeroDivisionError
    assert gc.isenabled()


@pytest.mark.usefixtures("collecting")
def test_it_can_begin_again_inside_and_what_is_there_is_put_aside():
    before = gc.get_freeze_count()
    with collection_held():
        resume_collection()
        assert gc.isenabled()
        assert gc.get_freeze_count() > before
        aside = gc.get_freeze_count()
    assert gc.get_freeze_count() <= aside, "put aside once, not again at the end"


@pytest.mark.usefixtures("collecting")
def test_who_wants_no_collection_keeps_none():
    gc.disable()
    with collection_held():
        pass
    assert not gc.isenabled()


def test_something_is_loaded_by_a_thread_of_its_own():
    seen = []
    loading = Loading(lambda: seen.append(threading.current_thread().name))
    assert loading.is_over(5.0)
    assert seen == ["loading"]


def test_a_failure_is_left_to_who_needs_it():
    def fails():
        raise OSError("no such kernel")

    assert Loading(fails).is_over(5.0)


def test_loading_that_does_not_end_is_not_over():
    end = threading.Event()
    loading = Loading(lambda: end.wait(30.0))
    try:
        assert not loading.is_over(0.01)
    finally:
        end.set()
    assert loading.is_over(5.0)


def test_something_slow_is_done_while_something_small_goes_on():
    seen, there = [], threading.Event()

    def meanwhile():
        seen.append(1)
        there.set()

    def work():
        assert there.wait(10.0)
        return "done"

    assert worked(work, meanwhile) == "done"
    assert seen


def test_what_the_slow_thing_raises_is_raised_here():
    def work():
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        worked(work, lambda: None)
