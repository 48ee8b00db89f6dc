"""Inside the guest: stop one named thread of a process for a while, as a debugger does.

    python3 hang.py PID NAME SECONDS

ptrace(2): PTRACE_SEIZE and PTRACE_INTERRUPT stop that thread alone; PTRACE_DETACH lets it go on.
"""

import ctypes
import os
import sys
import time
from pathlib import Path

SEIZE, INTERRUPT, DETACH = 0x4206, 0x4207, 17
"""PTRACE_SEIZE, PTRACE_INTERRUPT and PTRACE_DETACH of linux/ptrace.h."""
ALL_CHILDREN = 0x40000000
"""__WALL of linux/wait.h: threads too."""

WAITS = "oversight"
"""A thread that turns ten times a second, by which is seen whether Python still runs."""
LOOK_S = 1.0
ASKED_HZ = 60
"""A thread that waits for the interpreter asks for it every sys.getswitchinterval(), 200 times a
second; one that turns ten times a second sleeps and wakes some twenty times."""
PAUSE_S = 2.0
"""In which frames pass again and the watchdog is fed."""
TRIES = 40

pid, name, seconds = sys.argv[1:]
libc = ctypes.CDLL(None, use_errno=True)
libc.ptrace.argtypes = [ctypes.c_long, ctypes.c_long, ctypes.c_void_p, ctypes.c_void_p]


def thread_called(wanted: str) -> int:
    """The first thread of that name."""
    for task in Path(f"/proc/{pid}/task").iterdir():
        if (task / "comm").read_text().strip() == wanted:
            return int(task.name)
    raise SystemExit(f"no thread {wanted!r} in process {pid}")


def asked(request: int, thread: int) -> None:
    """ptrace(2), or an end with its reason."""
    if libc.ptrace(request, thread, None, None):
        raise SystemExit(f"ptrace: {os.strerror(ctypes.get_errno())}")


def sleeps(thread: int) -> int:
    """How often a thread went to sleep by itself, of proc_pid_status(5)."""
    lines = Path(f"/proc/{pid}/task/{thread}/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("voluntary_"))


def has_interpreter(other: int) -> bool:
    """Whether the thread that was stopped took Python with it: then nothing else could be told."""
    before = sleeps(other)
    time.sleep(LOOK_S)
    return sleeps(other) - before > ASKED_HZ * LOOK_S


hung, other = thread_called(name), thread_called(WAITS)
for turn in range(TRIES):
    asked(SEIZE, hung)
    asked(INTERRUPT, hung)
    os.waitpid(hung, ALL_CHILDREN)
    stopped_s = time.monotonic()
    if not has_interpreter(other):
        print(f"hung at try {turn + 1}, stopped at {stopped_s:.3f}", flush=True)
        break
    asked(DETACH, hung)
    time.sleep(PAUSE_S + 0.07 * (turn % 7))
else:
    raise SystemExit(f"{name} held the interpreter at each of {TRIES} tries")
time.sleep(float(seconds))
asked(DETACH, hung)
print(f"went on at {time.monotonic():.3f}", flush=True)
