"""Threads that share the loops over a frame: the caller and a few helpers.

Loops let go of Python's lock while they run, so threads are enough: nothing is copied, nothing is
merged that need not be, and no library beside ours decides how many there are.
"""

import os
from collections import deque
from collections.abc import Sequence
from queue import Empty, SimpleQueue
from threading import Lock

from firmware.errors import ThreadStuckError
from firmware.system.threads import STOP_S, Worker, stop_all
from overlays.sharing.crew import Task

MOST_WORKERS = 16
"""More than any board has cores; a profile may not ask for more."""

IDLE_S = 0.5
"""Longest wait of a helper in one turn."""

DEADLINE_S = 120.0
"""How long a part of the work may take. Each takes milliseconds, but for a loop that has to be
compiled first, which took a minute on an emulated board."""


def usable_cores() -> int:
    """Cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


def usual_workers(cores: int) -> int:
    """How many share the work where nobody said: one for each core but one.

    The one that is left decodes, draws the screen and keeps the system awake. On two cores a frame
    that is shared waits for the drawing of the one before: a minute of 1080p60 there is 12.0 ms old
    at 99 % with two workers and 10.7 with one, and takes a tenth more of the processor.
    """
    return max(1, min(cores - 1, MOST_WORKERS))


class _Job:
    """Tasks that are done once each by whoever takes them."""

    def __init__(self, tasks: Sequence[Task]) -> None:
        self._left = deque(tasks)
        self._ended: SimpleQueue[BaseException | None] = SimpleQueue()
        self._count = len(tasks)

    def help(self) -> None:
        """Do what nobody has begun."""
        while True:
            try:
                task = self._left.popleft()
            except IndexError:
                return
            fault: BaseException | None = None
            try:
                task()
            except BaseException as raised:  # noqa: BLE001 - handed over, not swallowed
                fault = raised
            # Whoever waits may go on before this thread does: what a task works on (pixels of a
            # screen, which nobody can draw on while they are held) must be let go of by then.
            del task
            self._ended.put(fault)

    def wait(self, deadline_s: float) -> None:
        """Until all are done; raises what one of them raised."""
        first: BaseException | None = None
        for _ in range(self._count):
            try:
                fault = self._ended.get(timeout=deadline_s)
            except Empty:
                raise ThreadStuckError(
                    f"a part of a frame's work took longer than {deadline_s:g} seconds"
                ) from None
            first = first or fault
        if first is not None:
            raise first


class ThreadCrew:
    """A `Crew` of threads: whoever calls works too, and others help.

    Helpers begin with the first work that there is for them. Several threads may call at once;
    each goes on with its own work, so that none waits for a helper that is busy elsewhere.

    Parameters
    ----------
    cores:
        That may be used: no more work at once.
    deadline_s:
        How long one task may take.
    """

    def __init__(self, cores: int, deadline_s: float = DEADLINE_S) -> None:
        self._most, self._deadline_s = max(1, min(cores, MOST_WORKERS)), deadline_s
        self._usual = self._workers = usual_workers(max(1, cores))
        self._jobs: SimpleQueue[_Job | None] = SimpleQueue()
        self._helpers: list[Worker] = []
        self._changing, self._is_closed = Lock(), False

    @property
    def workers(self) -> int:
        """How many work at most, the caller among them."""
        return self._workers

    def ask(self, workers: int | None) -> None:
        """From now on so many, but no more than there are cores; None leaves one of them idle."""
        self._workers = self._usual if workers is None else max(1, min(workers, self._most))

    def together(self, tasks: Sequence[Task]) -> None:
        """Do all tasks; see `Crew`.

        Raises
        ------
        ThreadStuckError
            One of them outlived its deadline.
        """
        helpers = min(self._workers, len(tasks)) - 1
        if helpers < 1 or not self._has(helpers):
            for task in tasks:
                task()
            return
        job = _Job(tasks)
        for _ in range(helpers):
            self._jobs.put(job)
        job.help()
        job.wait(self._deadline_s)

    def close(self) -> None:
        """Let the helpers go; who calls after that works alone.

        Raises
        ------
        ThreadStuckError
            One of them did not end in time.
        """
        with self._changing:
            self._is_closed = True
            helpers, self._helpers = self._helpers, []
        for helper in helpers:
            helper.ask_to_stop()
        for _ in helpers:
            self._jobs.put(None)
        stop_all(*helpers, deadline_s=STOP_S)  # whoever called has seen the end of its work

    def _has(self, helpers: int) -> bool:
        """Whether so many help; those who are missing begin now."""
        if len(self._helpers) < helpers:
            with self._changing:
                while not self._is_closed and len(self._helpers) < helpers:
                    helper = Worker(f"helper {len(self._helpers) + 1}", self._help)
                    helper.start()
                    self._helpers.append(helper)
        return not self._is_closed

    def _help(self) -> None:
        try:
            job = self._jobs.get(timeout=IDLE_S)
        except Empty:
            return
        if job is not None:
            job.help()
