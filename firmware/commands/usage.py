"""The usage lines of the docs, from the declared options: ``python -m firmware.commands.usage``."""

import dataclasses
import re
import sys
import textwrap
from collections.abc import Iterator

from firmware.commands.build import fields_of
from firmware.commands.own import CHECK, JOURNAL, KEEP_CLIP, PROFILES, VERIFY, wired
from firmware.instruments.registry import REGISTRY, Registry
from firmware.written.declared import Argument, Command, Option
from firmware.written.options import ReadOptions

SHARED = "[how to read]"
"""Stands for the options that every command takes which opens a feed."""
WIDTH = 96
GLUE = "\u00a0"
"""A space at which no line is broken."""


def usage_of(command: Command, group: str = "") -> str:
    """One line that shows every option: ``midgrey read FEED [--at X,Y[,SIZE]]... [--json]``."""
    shared = {field.name for field in fields_of(ReadOptions)}
    reads = issubclass(command.options, ReadOptions)
    words = [f"midgrey {group}{command.name}"]
    for field in fields_of(command.options):
        if reads and field.name in shared:
            continue
        required = field.default is dataclasses.MISSING
        shown = _shown(field.declared)
        words.append(shown[1:-1] if required else f"{shown}{'...' if field.is_many else ''}")
    return " ".join([*words, SHARED] if reads else words)


def _shown(declared: Argument | Option) -> str:
    if isinstance(declared, Argument):
        return f"[{declared.metavar}]"
    return f"[{declared.flag} {declared.metavar}".rstrip() + "]"


def usages(registry: Registry = REGISTRY) -> Iterator[tuple[str, str]]:
    """Every command's usage and what it does, in the order of the help."""
    for one in wired(registry):
        yield usage_of(one.command), one.command.words
    yield usage_of(PROFILES), PROFILES.words
    for inner in (CHECK, KEEP_CLIP):
        yield usage_of(inner, f"{PROFILES.name} "), inner.words
    yield usage_of(JOURNAL), JOURNAL.words
    yield usage_of(VERIFY, f"{JOURNAL.name} "), VERIFY.words


def block(registry: Registry = REGISTRY) -> str:
    """All of it as it stands in README.md."""
    out = ["midgrey", "    Run on the first feed found, else on the bench."]
    for usage, words in usages(registry):
        out += _wrapped(usage)
        out.append(f"    {words}")
    out.append("")
    shared = " ".join(_shown(f.declared) for f in fields_of(ReadOptions))
    out += _wrapped(f"{SHARED} is {shared}")
    return "\n".join(out) + "\n"


def _wrapped(usage: str) -> list[str]:
    """In lines; an option and its value stay together."""
    glued = re.sub(r"\[[^\[\]]*(\[[^\]]*\][^\[\]]*)*\]", lambda m: m[0].replace(" ", GLUE), usage)
    lines = textwrap.wrap(glued, WIDTH, subsequent_indent="        ", break_on_hyphens=False)
    return [line.replace(GLUE, " ") for line in lines]


if __name__ == "__main__":
    sys.stdout.write(block())
