"""What each address of the page answers. All but the page itself and pairing is for paired phones.

Files of the page lie beside this module and are sent as they are; colours, icon and the manifest
are made of what the screen is made of.
"""

import json
from asyncio import Lock, to_thread
from collections.abc import Awaitable, Callable
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route, WebSocketRoute

from firmware.errors import ArgumentError, PageError, ProfileError
from firmware.journal.chosen import checked_day
from firmware.page.journal_process import ENDINGS, listed, made
from firmware.page.live_socket import COOKIE, NOT_PAIRED, LiveSocket, token_of
from firmware.page.look import SIDES, colours_css, icon, manifest
from firmware.page.pairing import Outcome
from firmware.page.request_guard import FAILED, TABLES, TOO_LARGE, VERSIONS, App, Guard
from firmware.page.served import Served
from firmware.page.upload import Keep, keep_profile, keep_table
from firmware.page.versions import NOT_ALLOWED, keep_version, said_of_version
from overlays.draw.layout.typeface import typeface
from overlays.errors import CubeError

STATIC = Path(__file__).parent / "static"
FILES = {
    "/": ("index.html", "text/html; charset=utf-8"),
    "/page.css": ("page.css", "text/css; charset=utf-8"),
    "/page.js": ("page.js", "text/javascript; charset=utf-8"),
    "/picture.js": ("picture.js", "text/javascript; charset=utf-8"),
    "/units.js": ("units.js", "text/javascript; charset=utf-8"),
    "/sheets.js": ("sheets.js", "text/javascript; charset=utf-8"),
}
HALF_A_YEAR_S = 182 * 24 * 3600
"""How long a phone keeps its token; a phone that was not used for so long is paired again."""

NOTHING = "there is nothing of that name here"

Answer = Callable[[Request], Awaitable[Response]]
_STATUS = {Outcome.LOCKED: 429, Outcome.TOO_SOON: 429, Outcome.WRONG: 403, Outcome.CLOSED: 403}


def application(served: Served) -> App:
    """The whole page, behind its guard."""
    people, record = People(served), Record(served)
    open_to_all: list[BaseRoute] = [Route(path, _file(*file)) for path, file in FILES.items()]
    open_to_all += [
        Route("/look.css", _made(lambda: colours_css().encode(), "text/css; charset=utf-8")),
        Route("/manifest.webmanifest", _made(_manifest, "application/manifest+json")),
        Route("/type.ttf", _made(_type, "font/ttf")),
        *(Route(f"/icon-{side}.png", _made(_icon(side), "image/png")) for side in SIDES),
        Route("/pair", people.pair, methods=["POST"]),
        Route("/me", people.me),
    ]
    of_paired: list[tuple[str, Answer, str]] = [
        ("/phones", people.phones, "GET"),
        ("/phones/forget", people.forget, "POST"),
        ("/slate", people.slate, "GET"),
        ("/journal", record.listing, "GET"),
        *((f"/journal.{ending}", record.file(ending), "GET") for ending in ENDINGS),
        ("/profiles/{name}", record.upload(keep_profile), "POST"),
        (f"{TABLES}{{name}}", record.upload(keep_table), "POST"),
        (VERSIONS.rstrip("/"), record.versions, "GET"),
        (f"{VERSIONS}{{name}}", record.take_version, "POST"),
    ]
    paired = [
        Route(path, _paired(answer, served), methods=[method]) for path, answer, method in of_paired
    ]
    routes = [*open_to_all, *paired, WebSocketRoute("/live", LiveSocket(served).serve)]
    told = {HTTPException: _http_fault, Exception: _fault}
    app = Starlette(routes=routes, exception_handlers=told)
    return Guard(app, served.names)


def _paired(answer: Answer, served: Served) -> Answer:
    """What answers phones that are paired, and nobody else."""

    async def guarded(request: Request) -> Response:
        if not token_of(request.cookies, served.phones):
            return refused(401, NOT_PAIRED)
        return await answer(request)

    return guarded


def refused(status: int, words: str) -> JSONResponse:
    """A sentence for a person, as every refusal is."""
    return JSONResponse({"error": words}, status)


async def _http_fault(_request: Request, fault: Exception) -> Response:
    assert isinstance(fault, HTTPException)
    is_large = fault.status_code == 413
    return refused(fault.status_code, TOO_LARGE if is_large else NOTHING)


async def _fault(_request: Request, _fault: Exception) -> Response:
    return refused(500, FAILED)  # the guard hears of it after this, and tells the log


class People:
    """Who is paired, and what they have told."""

    def __init__(self, served: Served) -> None:
        self._served = served

    async def pair(self, request: Request) -> Response:
        """Pair a phone by its code; its token goes into a cookie that no script can read."""
        found = await _object(request)
        code, name = found.get("code"), found.get("name", "")
        if not isinstance(code, str) or not isinstance(name, str) or len(code) > 100:
            return refused(400, "a code is a text")
        outcome = self._served.pairing.tried(code)
        if outcome is not Outcome.PAIRED:
            return refused(_STATUS[outcome], outcome.value)
        try:
            token = await to_thread(self._served.phones.admit, name)
        except PageError as fault:
            return refused(409, str(fault))
        answer = JSONResponse({"paired": True})
        answer.set_cookie(COOKIE, token, HALF_A_YEAR_S, httponly=True, samesite="strict")
        return answer

    async def me(self, request: Request) -> Response:
        """Whether the phone that asks is paired."""
        phone = self._served.phones.of(request.cookies.get(COOKIE, ""))
        return JSONResponse({"paired": phone is not None, "name": phone.name if phone else ""})

    async def phones(self, request: Request) -> Response:
        """All that are paired; of no token more than whose it is."""
        own = self._served.phones.of(request.cookies.get(COOKIE, ""))
        every = self._served.phones.listed()
        return JSONResponse(
            [{"number": p.number, "name": p.name, "since": p.since, "own": p == own} for p in every]
        )

    async def forget(self, request: Request) -> Response:
        """Let a phone go, the asking one or another."""
        number = (await _object(request)).get("number")
        if isinstance(number, bool) or not isinstance(number, int):
            return refused(400, "a phone is forgotten by its number in the list")
        if not await to_thread(self._served.phones.forget, number):
            return refused(404, "there is no such phone")
        return JSONResponse({"forgotten": number})

    async def slate(self, _request: Request) -> Response:
        """What marks carry now."""
        try:
            return JSONResponse(asdict(await to_thread(self._served.slate)))
        except ArgumentError as fault:
            return refused(409, str(fault))


class Record:
    """The journal, and profiles that are brought."""

    def __init__(self, served: Served) -> None:
        self._served = served
        self._one = Lock()
        """A board makes one report at a time."""
        self._one_version = Lock()

    async def listing(self, _request: Request) -> Response:
        """The newest marks and events."""
        try:
            async with self._one:
                return JSONResponse(await to_thread(listed, self._served.journal))
        except PageError as fault:
            return refused(409, str(fault))

    def file(self, ending: str) -> Answer:
        """What answers with a table or a report to be kept."""

        async def answer(request: Request) -> Response:
            try:
                day = checked_day(request.query_params.get("day"))
                async with self._one:
                    content = await to_thread(made, self._served.journal, ending, day)
            except (PageError, ArgumentError) as fault:
                return refused(409, str(fault).removeprefix("--day "))
            name = f"midgrey-{day or 'journal'}.{ending}"
            kept = {"content-disposition": f'attachment; filename="{name}"'}
            return Response(content, 200, kept, ENDINGS[ending])

        return answer

    def upload(self, keep: Keep) -> Answer:
        """What keeps a file that is brought; with a mistake in it nothing is kept."""

        async def answer(request: Request) -> Response:
            name, content = str(request.path_params["name"]), await request.body()
            try:
                said = await to_thread(keep, name, content, self._served.environ)
            except (ProfileError, CubeError) as fault:
                return refused(422, str(fault))
            except PageError as fault:
                return refused(409, str(fault))
            return JSONResponse({"said": said})

        return answer

    async def versions(self, _request: Request) -> Response:
        """Whether a version may be brought, and what became of the last one."""
        takes, said = self._served.incoming is not None, await to_thread(said_of_version)
        return JSONResponse({"takes": takes, "said": said})

    async def take_version(self, request: Request) -> Response:
        """Take a version of midgrey, one at a time, if the unit's preset allows it."""
        if self._served.incoming is None:
            return refused(403, NOT_ALLOWED)
        try:
            async with self._one_version:
                name, content = str(request.path_params["name"]), request.stream()
                said = await keep_version(name, content, self._served.incoming)
        except PageError as fault:
            return refused(409, str(fault))
        return JSONResponse({"said": said})


async def _object(request: Request) -> dict[str, Any]:
    """The request's object of JSON; empty where it is none."""
    try:
        found = json.loads(await request.body())
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def _file(name: str, kind: str) -> Answer:
    async def answer(_request: Request) -> Response:
        return Response(_content(name), 200, media_type=kind)

    return answer


@cache
def _content(name: str) -> bytes:
    return (STATIC / name).read_bytes()


def _made(make: Callable[[], bytes], kind: str) -> Answer:
    async def answer(_request: Request) -> Response:
        content = await to_thread(make)
        return Response(content, 200 if content else 404, media_type=kind)

    return answer


def _manifest() -> bytes:
    return json.dumps(manifest()).encode()


@cache
def _type() -> bytes:
    """The typeface of the screen; empty where it is not installed."""
    file = typeface().file
    return b"" if file is None else Path(file).read_bytes()


def _icon(side: int) -> Callable[[], bytes]:
    return lambda: icon(side)
