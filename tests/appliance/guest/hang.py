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

pid, name, seconds = sys.argv[1:]
libc = ctypes.CDLL(None, use_errno=True)
libc.ptrace.argtypes = [ctypes.c_long, ctypes.c_long, ctypes.c_void_p, ctypes.c_void_p]
tasks = Path(f"/proc/{pid}/task").iterdir()
found = [int(task.name) for task in tasks if (task / "comm").read_text().strip() == name]
if not found:
    raise SystemExit(f"no thread {name!r} in process {pid}")
thread = found[0]
for request in (SEIZE, INTERRUPT):
    if libc.ptrace(request, thread, None, None):
        raise SystemExit(f"ptrace: {os.strerror(ctypes.get_errno())}")
os.waitpid(thread, ALL_CHILDREN)
time.sleep(float(seconds))
libc.ptrace(DETACH, thread, None, None)
