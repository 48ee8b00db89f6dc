"""Options declared once: what a dataclass says of its fields is the command line, help and docs.

Light, so that ``--help`` is fast: nothing of what a command measures with is imported here.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Argument:
    """A word without a flag.

    Attributes
    ----------
    metavar:
        How it is called in the help.
    words:
        What it is.
    """

    metavar: str
    words: str


@dataclass(frozen=True, slots=True)
class Option:
    """A value behind a flag.

    Attributes
    ----------
    flag:
        With its hyphens.
    metavar:
        How its value is called in the help; empty where it takes none.
    words:
        What it says.
    least:
        The smallest number it may be.
    """

    flag: str
    metavar: str
    words: str
    least: int | None = None


@dataclass(frozen=True, slots=True)
class Command:
    """A command of the command line.

    Attributes
    ----------
    name:
        As it is typed.
    words:
        What it does, one sentence.
    options:
        A dataclass whose fields are each annotated with an `Argument` or `Option`.
    """

    name: str
    words: str
    options: type
