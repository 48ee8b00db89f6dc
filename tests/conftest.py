"""What several test files share."""

import gc
import os
import random
from collections.abc import Callable, Generator, Iterator
from functools import cache
from pathlib import Path
from typing import Any
from uuid import uuid4

from firmware.system.start_up import algebra_in_one_thread
from tests.kept_memory import keep_memory

# As the command does, before numpy is loaded: processes that share the tests out have a core each.
algebra_in_one_thread()
keep_memory()

# Before any test file loads colour-science: where scipy is not installed, that puts a mock in its
# place, which numba then takes for a scipy without a version. This way each test file runs alone.
import pytest
from hypothesis import settings
from hypothesis.internal import entropy
from numba.core.dispatcher import Dispatcher

from firmware.feeds.bench import feed as bench
from firmware.feeds.bench.workshop import workshop
from tests.beside import FIRST_TESTS, asked_at, files_of_tests, later, turned
from tests.compiling_once import folder, once
from tests.going_on import end_run, folder_of_run
from tests.places import SCENES
from tests.quick import slow_ones, stragglers, with_shares, with_waits

# No deadline: a property is not a timing, and machines are noisy. A run that decides whether work
# lands tries the same examples each time; at a desk they are new each time, so the command for
# every day tries a few of each: those of a week are as many.
settings.register_profile("desk", deadline=None)
settings.register_profile("landing", deadline=None, derandomize=True)
settings.register_profile("day", deadline=None, max_examples=20)
# For counts of thousands, on request: pytest --hypothesis-profile=many.
settings.register_profile("many", deadline=None, max_examples=5000)
settings.load_profile("landing" if os.environ.get("CI") else "desk")
EVERY_DAY = "not slow"

# Before each example hypothesis seeds numpy's common generator and sets it back behind it, a fifth
# of what a light property takes. Nobody asks that one here (ruff's NPY002): it counts as taken.
entropy.NP_RANDOM = random.Random(0)

Dispatcher.compile = once(Dispatcher.compile, folder())  # type: ignore[method-assign, assignment]

SHARED = SCENES


_later: list[pytest.Item] = []
_ran = [0]

_REMEMBERED = "midgrey/slow"
_took: dict[str, float] = {}
_set_up: dict[str, float] = {}
_BESIDE = ("beside", True)
"""What the report of a test says that asked for what went on beside the tests."""
_asked: set[str] = set()


@pytest.hookimpl(trylast=True)
def pytest_configure(config: pytest.Config) -> None:
    """Fewer examples of each property every day, unless somebody says how many; where to begin."""
    asked = config.getoption("--hypothesis-profile") or os.environ.get("CI")
    if config.option.markexpr == EVERY_DAY and not asked:
        settings.load_profile("day")
    at = _place_among(config)
    if at is None and getattr(config.option, "numprocesses", None):
        # So named by whoever hands tests out, who ends what they began (`pytest_sessionfinish`).
        config.option.testrunuid = config.option.testrunuid or uuid4().hex
    if at is not None and _is_whole(config):
        config.args = [str(file) for file in turned(files_of_tests(), *at)]


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """Look for no garbage while tests are collected: what a thousand files bring is there to stay,
    and each look goes through all of it.
    """
    gc.disable()
    try:
        return (yield)
    finally:
        gc.enable()
        gc.freeze()


def _only_failed(config: pytest.Config) -> bool:
    """Whether what failed last is run again; the option is the cache's, which can be left out."""
    return bool(getattr(config.option, "lf", False))


def _is_whole(config: pytest.Config) -> bool:
    """Whether all files were asked for, if not all tests in them."""
    return config.args_source is pytest.Config.ArgsSource.TESTPATHS


def _begins(config: pytest.Config) -> bool:
    """Whether this process runs tests from the first on: of several, that is one."""
    return (_place_among(config) or (0, 1))[0] == 0


def _place_among(config: pytest.Config) -> tuple[int, int] | None:
    """Which of how many processes that run tests this is; None where it is the only one."""
    told = getattr(config, "workerinput", None)
    return None if told is None else (int(told["workerid"][2:]), int(told["workercount"]))


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """One process more than cores for the whole: each waits now and then for what a test starts.

    A few files are done before those would have started.
    """
    whole = _is_whole(config) and not _only_failed(config)
    return _processes() if whole else 0


def _processes() -> int:
    return len(os.sched_getaffinity(0)) + 1


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark what had no room in a minute in the last whole run: `-m "not slow"` leaves it out.

    No list of names has to be kept by hand; what was never measured counts as quick. Whoever asks
    for what goes on beside the tests is put where that is done by then (`beside.py`).
    """
    at = _place_among(config)
    many = at[1] if at else 0
    if at is not None:  # all in the same order, wherever each began
        items.sort(key=lambda item: item.nodeid.partition("::")[0])
    asking = [item for item in items if _begin_of(item) is not None]
    rest = [item for item in items if _begin_of(item) is None]
    items[:] = [rest[place] for place in later([item.nodeid for item in rest])]
    place = asked_at(len(items), many)
    items[place:place] = asking
    for item in asking:
        item.user_properties.append(_BESIDE)
    slow = {} if getattr(config, "cache", None) is None else config.cache.get(_REMEMBERED, {})
    for item in items:
        if item.nodeid in slow:
            item.add_marker(pytest.mark.slow)


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Measure."""
    if report.when == "setup":
        file = report.nodeid.split("::")[0]
        _set_up[file] = _set_up.get(file, 0.0) + report.duration
    else:
        _took[report.nodeid] = _took.get(report.nodeid, 0.0) + report.duration
    if _BESIDE in map(tuple, report.user_properties):
        _asked.add(report.nodeid)


def pytest_sessionfinish(session: pytest.Session) -> None:
    """End what goes on beside; remember what was slow in a whole run, or among the quick ones.

    In another part of it, others pay for what is loaded.
    """
    config = session.config
    if hasattr(config, "workerinput"):
        return  # whoever hands tests out hears of all
    end_run(folder_of_run(getattr(config.option, "testrunuid", None) or f"alone-{os.getpid()}"))
    if getattr(config, "cache", None) is None:
        return
    if not _is_whole(config) or config.option.keyword or _only_failed(config) or not _took:
        return
    if not config.option.markexpr:
        # As long as they took where so many shared the cores.
        took = with_waits(with_shares(_took, _set_up), _asked)
        config.cache.set(_REMEMBERED, slow_ones(took, _processes()))
    elif config.option.markexpr == EVERY_DAY:
        known = config.cache.get(_REMEMBERED, {})
        config.cache.set(_REMEMBERED, known | stragglers(_took))


def pytest_collection_finish(session: pytest.Session) -> None:
    """Begin what goes on beside the other tests: what a module's `begin` begins for its tests."""
    if session.config.option.collectonly or not _begins(session.config):
        return
    for item in session.items:
        begin = _begin_of(item)
        if begin is not None and _of_module(item, "BEGINS_LATER"):
            _later.append(item)
        elif begin is not None:
            begin(item)


def pytest_runtest_logfinish(nodeid: str) -> None:  # noqa: ARG001 - the hook's
    """Begin the rest once the tests have brought most loops: not what they are compiling now."""
    _ran[0] += 1
    while _later and _ran[0] >= FIRST_TESTS:
        item = _later.pop(0)
        begin = _begin_of(item)
        assert begin is not None
        begin(item)


def _begin_of(item: pytest.Item) -> Callable[[pytest.Item], None] | None:
    begin: Callable[[pytest.Item], None] | None = _of_module(item, "begin")
    return begin


def _of_module(item: pytest.Item, name: str) -> Any:
    return getattr(getattr(item, "module", None), name, None)


@pytest.fixture(scope="session")
def scenes() -> Path:
    """The folder of real pictures with known truth."""
    if not (SHARED / "truth.json").is_file():
        pytest.skip(f"the pictures with known truth are not at {SHARED}")
    return SHARED


@pytest.fixture(scope="session", autouse=True)
def workshop_drawn_once() -> Iterator[None]:
    """Draw the bench's scene once for each size: it takes longest of a bench and never changes."""
    drawn = cache(workshop)
    with pytest.MonkeyPatch.context() as patch:
        # In memory: a test leaves no scene beside the kernels.
        patch.setattr(bench, "kept_workshop", lambda rows, columns, _: drawn(rows, columns).copy())
        yield
