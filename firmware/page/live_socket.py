"""The one WebSocket: a phone says what it is ready for and gets the newest of it; presses go back.

It is sent nothing that it has not asked for since it was sent the last, so nothing ever waits on
the way to a slow one: that gets fewer pictures, each as new as any.
"""

import asyncio
import json
from contextlib import suppress

from starlette.websockets import WebSocket, WebSocketDisconnect

from firmware.errors import PageError
from firmware.page.asked import Marked, ReadyFor, parse_asked
from firmware.page.hub import Hub, Sent
from firmware.page.phones import Phones
from firmware.page.served import Served

COOKIE = "midgrey"
MOST_WATCHING = 12
MOST_A_SECOND = 30
"""Presses of one phone: more are no thumb's."""
NOT_PAIRED = "this phone is not paired"
FULL = "as many phones watch as may: close the page on another one"
TOO_MANY = "that was too much at once: it was not done"
ALONE = "the kit is out of reach: this unit alone marks"
REFUSED, FULL_CODE = 1008, 1013
"""Close codes for what a rule forbids, and for what may be tried later (RFC 6455, IANA)."""


class Watching:
    """One phone that watches."""

    def __init__(self, socket: WebSocket, served: Served, token: str) -> None:
        self._socket, self._served, self._token = socket, served, token
        self._wants: set[Sent] = set()
        self._sent: dict[Sent, int] = dict.fromkeys(Sent, 0)
        self._news = asyncio.Event()
        self._loop = asyncio.get_running_loop()
        self._second, self._presses = 0, 0
        self._id = 0

    async def run(self) -> None:
        """Until the phone goes, or is forgotten."""
        hub = self._served.hub
        self._id = hub.watch(self._wake)
        tasks = [asyncio.ensure_future(each) for each in (self._receive(), self._send())]
        try:
            await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
        finally:
            hub.leave_off(self._id)
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)
        with suppress(RuntimeError, WebSocketDisconnect):  # it may be gone already
            await self._socket.close(REFUSED, NOT_PAIRED)

    def _wake(self) -> None:
        with suppress(RuntimeError):  # the server is ending
            self._loop.call_soon_threadsafe(self._news.set)

    def _is_paired(self) -> bool:
        return self._served.phones.of(self._token) is not None

    async def _receive(self) -> None:
        with suppress(WebSocketDisconnect, RuntimeError):
            while True:
                message = await self._socket.receive()
                if message["type"] != "websocket.receive" or not self._is_paired():
                    return
                try:
                    await self._heard(message.get("text") or message.get("bytes") or "")
                except PageError as fault:
                    await self._answer(str(fault))

    async def _heard(self, text: str | bytes) -> None:
        asked = parse_asked(text)
        if isinstance(asked, ReadyFor):
            self._want(asked)
            return
        second = self._served.hub.second
        if second != self._second:
            self._second, self._presses = second, 0
        self._presses += 1
        if self._presses > MOST_A_SECOND:
            raise PageError(TOO_MANY)
        if isinstance(asked, Marked):
            said = await asyncio.to_thread(self._served.set_slate, asked.slate)
            if said:
                await self._answer(said)
            if asked.everyone and self._served.mark_all(asked.slate):
                return  # this unit hears of it with the others
            if asked.everyone:
                await self._answer(ALONE)
        if not self._served.hub.ask(asked):
            raise PageError(TOO_MANY)

    def _want(self, wanted: ReadyFor) -> None:
        if wanted.moment:
            self._wants.add(Sent.MOMENT)
        if wanted.picture:
            self._wants.add(Sent.PICTURE)
        if wanted.counts:
            self._wants |= {Sent.TRACE, Sent.CHROMA}
        if wanted.figures is not None:
            self._served.hub.index(self._id, is_shown=wanted.figures)
        self._news.set()

    async def _answer(self, words: str) -> None:
        await self._socket.send_text(json.dumps({"error": words}, ensure_ascii=False))

    async def _send(self) -> None:
        with suppress(WebSocketDisconnect, RuntimeError):
            while True:
                await self._news.wait()
                self._news.clear()
                for kind in Sent:
                    if not self._is_paired():
                        return
                    await self._send_newest(kind, self._served.hub)

    async def _send_newest(self, kind: Sent, hub: Hub) -> None:
        newest = hub.newest(kind)
        if kind not in self._wants or newest.number <= self._sent[kind]:
            return
        self._wants.discard(kind)
        self._sent[kind] = newest.number
        if kind is Sent.MOMENT:
            await self._socket.send_text(newest.data.decode())
        else:
            await self._socket.send_bytes(kind.value + newest.data)


def token_of(cookies: dict[str, str], phones: Phones) -> str:
    """The token of a phone that is paired; empty where it is not."""
    token = cookies.get(COOKIE, "")
    return token if phones.of(token) is not None else ""


class LiveSocket:
    """Takes phones in, as many as may watch at once."""

    def __init__(self, served: Served) -> None:
        self._served = served
        self._watching = 0

    async def serve(self, socket: WebSocket) -> None:
        """Serve one phone."""
        token = token_of(socket.cookies, self._served.phones)
        if not token:
            await socket.close(REFUSED, NOT_PAIRED)
            return
        if self._watching >= MOST_WATCHING:
            await socket.close(FULL_CODE, FULL)
            return
        self._watching += 1
        try:
            await socket.accept()
            await Watching(socket, self._served, token).run()
        finally:
            self._watching -= 1
