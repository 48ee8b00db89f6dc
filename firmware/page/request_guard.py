"""What every request passes: whose it may be, how large it may be, and what stands on each answer.

A request must name this machine as its host (an address or a name of its own: a page elsewhere that
lets its name point here would name its own), and whatever changes anything, and the WebSocket, must
come from a page of this very origin (RFC 6454; Fetch standard, "Origin" header).
"""

import ipaddress
import json
import sys
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from starlette.exceptions import HTTPException

from firmware.page.versions import MOST_BYTES
from firmware.page.versions import TOO_LARGE as VERSION_TOO_LARGE

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

MOST_BODY = 200_000
"""Bytes of a request: those of the largest profile there may be."""
TABLES, MOST_TABLE = "/tables/", 4_000_000
"""Where tables for the eye are brought, and how many bytes one may have: 33 entries each way and
eight decimals take one million."""
VERSIONS = "/versions/"
"""Where versions of midgrey are brought."""
SAFE = frozenset({"GET", "HEAD"})

HEADERS: dict[str, str] = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
        "connect-src 'self'; font-src 'self'; manifest-src 'self'; base-uri 'none'; "
        "form-action 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
    "cache-control": "no-store",
}
"""Content Security Policy Level 3 (W3C) and its neighbours: nothing from elsewhere, no frame."""

ELSEWHERE = "this page is open under another address than the unit's: type that again"
FOREIGN = "what another page asks for is not done"
TOO_LARGE = f"that is too large: {MOST_BODY} bytes at the most"
TABLE_TOO_LARGE = f"that is too large: {MOST_TABLE} bytes at the most; 33 entries each way do"
FAILED = "the page has failed at this; what is measured goes on"


class Guard:
    """Stands before the application.

    Parameters
    ----------
    app:
        What answers.
    names:
        Names of this machine, without a port; its addresses need not be named.
    """

    def __init__(self, app: App, names: frozenset[str]) -> None:
        self._app, self._names = app, frozenset(name.casefold() for name in names)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse."""
        if scope["type"] not in {"http", "websocket"}:
            await self._app(scope, receive, send)
            return
        headers = {k.decode("latin-1"): v.decode("latin-1") for k, v in scope["headers"]}
        refusal = self.refusal(scope, headers)
        if refusal is not None:
            await _refuse(scope, receive, send, *refusal)
        elif scope["type"] == "websocket":
            try:
                await self._app(scope, receive, send)
            except Exception as fault:  # noqa: BLE001 - told the log; the connection ends
                _log(fault)
        else:
            await self._answer(scope, receive, send)

    def refusal(self, scope: Scope, headers: MutableMapping[str, str]) -> tuple[int, str] | None:
        """Status and sentence of a refusal; None where it may pass."""
        host = headers.get("host", "")
        if not self._is_ours(host):
            return 421, ELSEWHERE
        changes = scope["type"] == "websocket" or scope["method"] not in SAFE
        if changes and headers.get("origin", "") != f"http://{host}":
            return 403, FOREIGN
        length = headers.get("content-length", "0")
        if not length.isascii() or not length.isdigit() or len(length) > 9:
            return 400, TOO_LARGE
        most, words = _most(scope)
        return (413, words) if int(length) > most else None

    def _is_ours(self, host: str) -> bool:
        name = host.rpartition("]")[0].lstrip("[") if "]" in host else host.partition(":")[0]
        try:
            ipaddress.ip_address(name)
        except ValueError:
            return name.casefold().rstrip(".") in self._names
        return True

    async def _answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        begun, got, (most, words) = False, 0, _most(scope)

        async def bounded() -> Message:
            nonlocal got
            message = await receive()
            got += len(message.get("body", b""))
            if got > most:  # one that does not say how long it is
                raise HTTPException(413, words)
            return message

        async def dressed(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                own = {k.decode("latin-1").lower() for k, _ in message["headers"]}
                message["headers"] = [
                    *message["headers"],
                    *((k.encode(), v.encode()) for k, v in HEADERS.items() if k not in own),
                ]
            await send(message)

        try:
            await self._app(scope, bounded, dressed)
        except Exception as fault:  # noqa: BLE001 - a phone gets a sentence, the log the fault
            _log(fault)
            if not begun:
                await _refuse(scope, receive, send, 500, FAILED)


def _log(fault: Exception) -> None:
    sys.stderr.write(f"midgrey: page: {type(fault).__name__}: {fault}\n")


def _most(scope: Scope) -> tuple[int, str]:
    """How many bytes a request may have, and what to say of more."""
    path = str(scope.get("path", ""))
    if path.startswith(VERSIONS):
        return MOST_BYTES, VERSION_TOO_LARGE
    is_table = path.startswith(TABLES)
    return (MOST_TABLE, TABLE_TOO_LARGE) if is_table else (MOST_BODY, TOO_LARGE)


async def _refuse(scope: Scope, receive: Receive, send: Send, status: int, words: str) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 1008, "reason": words})
        return
    body = json.dumps({"error": words}).encode()
    headers = {**HEADERS, "content-type": "application/json", "content-length": str(len(body))}
    head = [(k.encode(), v.encode()) for k, v in headers.items()]
    await send({"type": "http.response.start", "status": status, "headers": head})
    await send({"type": "http.response.body", "body": body})
