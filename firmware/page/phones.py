"""Which phones are paired: each has a token that only it knows; what is kept is its SHA-256.

A token has 256 bits by chance, so its hash needs no salt and no stretching: there is nothing to
guess. They are kept in a small file, over a power cut; a card that takes none is said.
"""

import hashlib
import json
import secrets
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path

from firmware.clock import Clock, day_of
from firmware.errors import PageError
from firmware.system.files import read_small, reason_of, save, unsaved

NAME = "phones.json"
MOST_PHONES = 20
LONGEST_NAME = 24
MOST_BYTES = 20_000
TOKEN_BYTES = 32
UNNAMED = "phone"


@dataclass(frozen=True, slots=True)
class Phone:
    """One that is paired.

    Attributes
    ----------
    number:
        By which it is forgotten; none is used again.
    name:
        As whoever paired it called it.
    token_sha256:
        Of its token, in hexadecimal.
    since:
        The day, or empty where the clock was not set.
    """

    number: int
    name: str
    token_sha256: str
    since: str = ""


def named(given: str) -> str:
    """A name that fits into a list.

    Examples
    --------
    >>> named("  Anna's  phone "), named(" ")
    ("Anna's phone", 'phone')
    """
    plain = "".join(each if each.isprintable() else " " for each in given)
    return " ".join(plain.split())[:LONGEST_NAME].strip() or UNNAMED


def hashed(token: str) -> str:
    """What is kept of a token."""
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


class Phones:
    """Those that are paired. May be asked from any thread.

    Parameters
    ----------
    path:
        The file that keeps them; None keeps none.
    clock:
        Time of day.
    say:
        Takes a sentence for the log.
    """

    def __init__(
        self, path: Path | None, clock: Clock, say: Callable[[str], None] = lambda _words: None
    ) -> None:
        self._path, self._clock, self._say = path, clock, say
        self._one = threading.Lock()
        self._phones: dict[str, Phone] = {}
        self._last = 0
        if path is not None:
            self._read(path)

    def _read(self, path: Path) -> None:
        if not path.exists():
            return
        try:
            found = json.loads(read_small(path, MOST_BYTES))
            phones = [Phone(**each) for each in found["phones"]]
            wrong = [
                p for p in phones if not (isinstance(p.number, int) and len(p.token_sha256) == 64)
            ]
            if wrong:
                raise ValueError("no phones")  # noqa: TRY301 - told below with the others
            self._phones = {each.token_sha256: each for each in phones[:MOST_PHONES]}
            self._last = max((each.number for each in phones), default=0)
        except OSError as fault:
            self._say(f"{path}: paired phones cannot be read ({reason_of(fault)}): pair them again")
        except (ValueError, TypeError, KeyError, RecursionError):
            self._say(f"{path}: is no list of paired phones any more: pair them again")

    def admit(self, name: str) -> str:
        """Pair a phone; its token.

        Raises
        ------
        PageError
            There are as many as there may be.
        """
        token = secrets.token_urlsafe(TOKEN_BYTES)
        with self._one:
            if len(self._phones) >= MOST_PHONES:
                raise PageError(f"{MOST_PHONES} phones are paired: forget one first")
            self._last += 1
            day = day_of(self._clock.wall_s()) or ""
            phone = Phone(self._last, named(name), hashed(token), day)
            self._phones[phone.token_sha256] = phone
            self._keep()
        return token

    def of(self, token: str) -> Phone | None:
        """Whose token it is; None for nobody's."""
        # Looked up by its hash: how far a wrong one agrees with a right one cannot be timed.
        return self._phones.get(hashed(token)) if token else None

    def listed(self) -> tuple[Phone, ...]:
        """All, as they were paired."""
        return tuple(sorted(self._phones.values(), key=lambda each: each.number))

    def forget(self, number: int) -> bool:
        """Let one go: its token is worth nothing from now on. Whether there was one."""
        with self._one:
            left = {key: each for key, each in self._phones.items() if each.number != number}
            was, self._phones = len(self._phones), left
            if len(left) != was:
                self._keep()
            return len(left) != was

    def forget_all(self) -> int:
        """Let all go; how many there were."""
        with self._one:
            count, self._phones = len(self._phones), {}
            if count:
                self._keep()
            return count

    def _keep(self) -> None:
        if self._path is None:
            return
        content = json.dumps({"phones": [asdict(each) for each in self.listed()]}, indent=1)
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            save(self._path, content.encode() + b"\n")
            with suppress(OSError):
                self._path.chmod(0o600)
        except OSError as fault:
            self._say(unsaved(self._path, "list of paired phones", fault))
