"""How a unit finds its kit: the table `[kit]` of a preset. Without one there is no kit."""

import re
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path
from typing import Annotated

from pydantic import Field, PlainValidator

from firmware.errors import ArgumentError
from firmware.profiles.toml_table import TomlTable
from overlays.wording.read_number import short, whole

TLS_PORT, PLAIN_PORT = 8883, 1883
"""Of MQTT with and without TLS (IANA, Service Name and Transport Protocol Port Number Registry:
secure-mqtt and mqtt)."""
NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,31}", re.ASCII)
"""Of a unit: it is a level of a topic, a user of the broker and part of a file's name."""
RESERVED = "kit"
"""A level of topics that is no unit's: what is meant for all."""
PRESET_KEYS = {
    "title": "what it is for, for a person",
    "notes": "read by nobody but people",
    "profile": "name of a profile that ships or is the unit's own; never a file",
    "view": "name of a view",
    "target": 'where the spot should be, as "-1 st" or "45 %"',
    "target_within": 'what still counts as there, as "0.3 st"',
}
"""What a kit may set: whatever else a preset may say (feed, page, lock ...) is each unit's own."""
_HOST = re.compile(r"(?:\[([0-9a-fA-F:.]+)\]|([A-Za-z0-9][A-Za-z0-9.-]{0,252}))(?::(\d{1,5}))?")


class Wire(Enum):
    """How what is said to the broker is kept from others' ears."""

    TLS = "on"
    PLAIN = "off"
    """For a broker on this very board, or a network that is trusted."""


@dataclass(frozen=True, slots=True)
class KitSettings:
    """A unit's place in its kit.

    Attributes
    ----------
    unit:
        Its name, which is its user at the broker too.
    host, port:
        Of the broker.
    password:
        Of that user; stands in no sentence.
    wire:
        Whether the way there is encrypted.
    authority:
        The certificate (PEM) that the broker's must be signed by; None takes the system's.
    """

    unit: str
    host: str
    port: int = TLS_PORT
    password: str = field(default="", repr=False)
    wire: Wire = Wire.TLS
    authority: Path | None = None

    @property
    def broker(self) -> str:
        """The broker as a sentence names it."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"{host}:{self.port}"


def unit_name(given: object) -> str:
    """A unit's name.

    Raises
    ------
    ArgumentError
        It is none.
    """
    if not isinstance(given, str) or not NAME.fullmatch(given) or given == RESERVED:
        raise ArgumentError(
            f"{short(given)} is no name of a unit; write up to 32 small letters, figures and "
            'hyphens, as "cam-b"'
        )
    return given


def broker_place(given: object) -> tuple[str, int | None]:
    """Host and port of a broker; the port is None where none was written.

    Raises
    ------
    ArgumentError
        It is no place.

    Examples
    --------
    >>> broker_place("10.42.0.1:8883"), broker_place("[fd00::1]")
    (('10.42.0.1', 8883), ('fd00::1', None))
    """
    found = _HOST.fullmatch(given) if isinstance(given, str) else None
    port = None if found is None or found[3] is None else whole(found[3])
    if found is None or (port is not None and not 0 < port < 65536):
        raise ArgumentError(
            f'{short(given)} is no broker; write an address or a name, as "10.42.0.1" or '
            f'"10.42.0.1:{TLS_PORT}"'
        )
    return found[1] or found[2], port


def _wire(given: object) -> Wire:
    if not isinstance(given, bool):
        raise ArgumentError(f"{short(given)} is neither true nor false")
    return Wire.TLS if given else Wire.PLAIN


def _password(given: object) -> str:
    # Not repeated in the sentence: it is shown on the screen.
    if not isinstance(given, str) or not 8 <= len(given) <= 200 or not given.isprintable():
        raise ArgumentError("the password is no text of 8 to 200 signs")
    return given


class KitTable(TomlTable):
    """The table as it is written."""

    unit: Annotated[str, PlainValidator(unit_name)]
    broker: Annotated[tuple[str, int | None], PlainValidator(broker_place)]
    password: Annotated[str, PlainValidator(_password)]
    tls: Annotated[Wire, PlainValidator(_wire)] = Wire.TLS
    authority: Annotated[str, Field(strict=True, min_length=1, max_length=400)] | None = None


def settings_of(table: KitTable, folder: Path) -> KitSettings:
    """What is meant; a certificate without a folder lies beside the preset.

    Raises
    ------
    ArgumentError
        A certificate is named and would never be looked at.
    """
    host, port = table.broker
    if table.tls is Wire.PLAIN and table.authority is not None:
        raise ArgumentError("authority names a certificate, and tls = false looks at none")
    usual = TLS_PORT if table.tls is Wire.TLS else PLAIN_PORT
    authority = None if table.authority is None else folder / table.authority
    return KitSettings(
        table.unit, host, usual if port is None else port, table.password, table.tls, authority
    )
