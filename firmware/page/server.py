"""The page's server in a thread of its own, on a socket that is open already."""

import socket
import sys
import threading
from contextlib import suppress

import uvicorn

from firmware.page.application import application
from firmware.page.asked import MOST_BYTES
from firmware.page.served import Served

STOP_S = 3.0
"""How long it may take to end: connections are closed, not waited for."""
MOST_AT_ONCE = 64
"""Requests at a time: a phone makes some six."""


class Server:
    """Serves until it is closed.

    Parameters
    ----------
    served:
        What of.
    listening:
        Where; closed at the end.
    """

    def __init__(self, served: Served, listening: socket.socket) -> None:
        self._served, self._listening = served, listening
        config = uvicorn.Config(
            application(served),
            log_config=None,
            access_log=False,
            lifespan="off",
            loop="asyncio",
            http="h11",
            ws_max_size=MOST_BYTES,
            ws_per_message_deflate=False,  # pictures are packed already
            limit_concurrency=MOST_AT_ONCE,
            proxy_headers=False,
            server_header=False,
            date_header=False,
            timeout_graceful_shutdown=1,
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._run, name="page server", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._served.hub.start()
        self._thread.start()

    def close(self) -> None:
        """End, and let go of the socket."""
        self._server.should_exit = True
        self._thread.join(STOP_S)
        self._served.hub.close()
        with suppress(OSError):
            self._listening.close()

    def _run(self) -> None:
        try:
            self._server.run(sockets=[self._listening])
        except Exception as fault:  # noqa: BLE001 - what is measured goes on without a page
            sys.stderr.write(f"midgrey: the page has failed: {type(fault).__name__}: {fault}\n")
