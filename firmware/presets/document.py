"""The shape of a preset's TOML: which keys there are and what each may hold."""

from typing import Annotated

from pydantic import Field, PlainValidator

from firmware.actions import Press
from firmware.errors import ArgumentError
from firmware.kit.settings import KitTable
from firmware.page.pairing import LEAST_FIXED, MOST_FIXED, spelt
from firmware.presets.model import Allowed
from firmware.profiles.document import AnyLevel, Text, Width
from firmware.profiles.toml_table import TomlTable
from firmware.written.spelling import choice, offer
from overlays.wording.read_number import short

LEAST_CODE, MOST_CODE = 4, 12
"""Presses of a code: fewer are found by playing, more are forgotten."""

Word = Annotated[str, Field(strict=True, min_length=1, max_length=400)]


def _code(given: object) -> tuple[Press, ...]:
    names = {press.name.lower(): press for press in Press}
    words = given.split() if isinstance(given, str) else []
    if not LEAST_CODE <= len(words) <= MOST_CODE:
        raise ArgumentError(
            f"{short(given)} is no code; write {LEAST_CODE} to {MOST_CODE} presses in one text, as "
            '"hold stripes hold next_view"'
        )
    for word in words:
        if word not in names:
            raise ArgumentError(f"{short(word)} is no press; {offer(word, names)}")
    return tuple(names[word] for word in words)


def _page_code(given: object) -> str:
    least, most = LEAST_FIXED, MOST_FIXED
    if not isinstance(given, str) or not least <= len(spelt(given)) <= most:
        raise ArgumentError(
            f"{short(given)} is no code for phones; write {least} to {most} letters or figures"
        )
    return given


def _allowed(given: object) -> frozenset[Allowed]:
    if not isinstance(given, list):
        raise ArgumentError(
            f'{short(given)} is not a list; write ["spot"], ["spot", "clear"] or []'
        )
    return frozenset(
        choice(Allowed, each if isinstance(each, str) else "", "allowance") for each in given
    )


class PresetDocument(TomlTable):
    """A whole preset. Keys of the first part are options of `run`."""

    feed: Word | None = None
    profile: Word | None = None
    curve: Word | None = None
    carriage: Word | None = None
    range: Word | None = None
    matrix: Word | None = None
    view: Word | None = None
    rotate: Annotated[int, Field(strict=True)] | None = None
    title: Text | None = None
    notes: Text = ""
    page: Word | None = None
    page_code: Annotated[str, PlainValidator(_page_code)] = ""
    page_updates: Annotated[bool, Field(strict=True)] = False
    kit: KitTable | None = None
    target: AnyLevel | None = None
    target_within: Width | None = None
    lock: Annotated[bool, Field(strict=True)] = False
    lock_allows: Annotated[frozenset[Allowed], PlainValidator(_allowed)] = frozenset()
    lock_code: Annotated[tuple[Press, ...], PlainValidator(_code)] = ()


class ChoiceDocument(TomlTable):
    """The file that says which preset a unit starts with."""

    boot: Word
    notes: Text = ""


OPTIONS = ("feed", "profile", "curve", "carriage", "range", "matrix", "view", "rotate", "page")
"""Keys that are options of `run`."""
