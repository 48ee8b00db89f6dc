"""Runs what the tests outside the virtual machine ask for, one request at a time.

A request is one line of JSON, ``{"run": "shell command", "timeout": seconds}``, Python for a
process that stays from request to request (``{"python": code}``; what it puts into ``answer`` comes
back), a file to write (``{"write": path, "base64": ...}``) or to read (``{"read": path}``); the
answer is one line of JSON. The port is a virtio-serial port, so no network is needed.
"""

import base64
import json
import os
import select
import subprocess
from pathlib import Path

PORT = "/dev/virtio-ports/agent"
PYTHON = "/opt/midgrey/current/bin/python"
SETTINGS = Path("/etc/midgrey/environment")
LOOP = """
import json, sys, traceback
sys.path.insert(0, "/run/tests")
space, said = {}, sys.stdout
sys.stdout = sys.stderr
for line in sys.stdin:
    try:
        space["answer"] = None
        exec(json.loads(line), space)
        reply = {"status": 0, "answer": space["answer"], "said": ""}
    except BaseException:
        reply = {"status": 1, "answer": None, "said": traceback.format_exc()}
    said.write(json.dumps(reply) + "\\n")
    said.flush()
"""


class Python:
    """A process of the appliance's own Python, with the environment of its unit."""

    def __init__(self) -> None:
        self._process: subprocess.Popen | None = None

    def ask(self, code: str, timeout: float) -> dict:
        """Run code there; the answer it left."""
        if self._process is None or self._process.poll() is not None:
            self._start()
        self._process.stdin.write(json.dumps(code) + "\n")
        self._process.stdin.flush()
        if not select.select([self._process.stdout], [], [], timeout)[0]:
            self._process.kill()
            self._process = None
            return {"status": -1, "said": "the Python process did not answer in time"}
        line = self._process.stdout.readline()
        if not line:
            self._process = None
            return {"status": -1, "said": "the Python process ended"}
        return json.loads(line)

    def _start(self) -> None:
        environment = dict(os.environ)
        environment["NUMBA_CACHE_DIR"] = "/var/cache/midgrey/kernels"
        environment["PYGAME_HIDE_SUPPORT_PROMPT"] = "1"
        if SETTINGS.exists():
            lines = [line for line in SETTINGS.read_text().splitlines() if not line.startswith("#")]
            environment.update(line.split("=", 1) for line in lines if "=" in line)
        self._process = subprocess.Popen(
            [PYTHON, "-c", LOOP],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=environment,
            text=True,
        )


PYTHON_PROCESS = Python()


def answer(request: dict) -> dict:
    """What to send back for one request."""
    if "run" in request:
        try:
            done = subprocess.run(
                ["/bin/bash", "-c", request["run"]],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                timeout=request.get("timeout", 60),
                check=False,
            )
        except subprocess.TimeoutExpired as late:
            said = (late.stdout or b"").decode(errors="replace")
            return {"status": -1, "said": said + "\n(timed out)"}
        return {"status": done.returncode, "said": done.stdout.decode(errors="replace")}
    if "python" in request:
        return PYTHON_PROCESS.ask(request["python"], request.get("timeout", 60))
    if "write" in request:
        path = Path(request["write"])
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("ab" if request.get("more") else "wb") as file:
            file.write(base64.b64decode(request["base64"]))
        return {"status": 0, "said": ""}
    if "read" in request:
        data = Path(request["read"]).read_bytes()
        return {"status": 0, "said": "", "base64": base64.b64encode(data).decode()}
    return {"status": -1, "said": "unknown request"}


def main() -> None:
    """Serve until the machine stops."""
    port = os.open(PORT, os.O_RDWR)
    held = b""
    while True:
        select.select([port], [], [], 1.0)
        got = os.read(port, 65536)
        if not got:  # nobody is connected outside; the port then reads as ended
            select.select([], [], [], 0.05)
            continue
        held += got
        while b"\n" in held:
            line, held = held.split(b"\n", 1)
            number = None
            try:
                request = json.loads(line)
                number = request.get("number")
                reply = answer(request)
            except (OSError, ValueError, KeyError) as fault:
                reply = {"status": -1, "said": f"{type(fault).__name__}: {fault}"}
            reply["number"] = number
            data = json.dumps(reply).encode() + b"\n"
            while data:
                data = data[os.write(port, data) :]


main()
