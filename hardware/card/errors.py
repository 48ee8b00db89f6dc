"""The faults of making a card: one root, and the class name is the fault.

Every message is one sentence that says what is wrong, where, and what to do; `build` prints it and
ends with exit status 2.
"""


class CardError(Exception):
    """Root of every fault of `hardware.card`."""


class ChoiceError(CardError, ValueError):
    """What was asked for does not fit together."""


class ToolMissingError(CardError, LookupError):
    """A program that is needed is not on this machine."""


class ToolFailedError(CardError, RuntimeError):
    """A program ended with a failure; `said` is all that it said."""

    def __init__(self, words: str, said: str = "") -> None:
        super().__init__(words)
        self.said = said


class ImageError(CardError, ValueError):
    """The image is none, or not laid out as a card is made of."""


class LockError(CardError, ValueError):
    """The lock is not one."""


class WheelError(CardError, ValueError):
    """A wheel is missing, does not fit the board, or is not the one that was locked."""


class PackageError(CardError, ValueError):
    """A Debian package is missing, does not fit the board, or is damaged."""
