"""Options declared once: what a dataclass says of its fields is the command line, help and docs.

Light, so that ``--help`` is fast: nothing of what a command measures with is imported here, and
what is made for every command is made of what Python makes soonest.
"""

from dataclasses import MISSING, FrozenInstanceError, dataclass, fields
from typing import Any, NamedTuple, NoReturn, TypeVar, dataclass_transform

Kind = TypeVar("Kind")


@dataclass_transform(kw_only_default=True, frozen_default=True)
def options(kind: type[Kind]) -> type[Kind]:
    """Make a class the options of a command: a dataclass, frozen, its fields given by name.

    What `dataclass` writes and compiles anew for every class is here once for all of them: the
    help makes those of all commands, and would wait for it longer than for all else of ours.
    """
    made = dataclass(init=False, eq=False, repr=False)(kind)
    for name, method in _METHODS.items():
        setattr(made, name, method)
    return made


def _begin(self: Any, **given: object) -> None:  # noqa: ANN401 - options of any command
    kind = type(self)
    for field in fields(kind):
        value = given.pop(field.name, field.default)
        if value is MISSING:
            raise TypeError(f"{kind.__name__} has no {field.name}")
        object.__setattr__(self, field.name, value)
    if given:
        raise TypeError(f"{kind.__name__} takes no {', '.join(given)}")


def _refuse(self: object, name: str, *_value: object) -> NoReturn:
    raise FrozenInstanceError(f"{type(self).__name__} is not changed: {name}")


def _is_same(self: object, other: object) -> bool:
    return type(self) is type(other) and vars(self) == vars(other)


def _hash(self: object) -> int:
    return hash(tuple(vars(self).values()))


def _words(self: object) -> str:
    return f"{type(self).__name__}({', '.join(f'{k}={v!r}' for k, v in vars(self).items())})"


_METHODS = {
    "__init__": _begin,
    "__setattr__": _refuse,
    "__delattr__": _refuse,
    "__eq__": _is_same,
    "__hash__": _hash,
    "__repr__": _words,
}


class Argument(NamedTuple):
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


class Option(NamedTuple):
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


class Command(NamedTuple):
    """A command of the command line.

    Attributes
    ----------
    name:
        As it is typed.
    words:
        What it does, one sentence.
    options:
        A class made by `options`, whose fields are each annotated with an `Argument` or `Option`.
    """

    name: str
    words: str
    options: type
