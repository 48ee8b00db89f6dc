"""The faults the appliance can report: one root, and the class name is the fault.

Every message is one sentence that says what is wrong, where, and what to do; `cli` prints it and
ends with exit status 2.
"""


class FirmwareError(Exception):
    """Root of every fault of `firmware`."""


class FeedNotFoundError(FirmwareError, FileNotFoundError):
    """Nothing is at the place the feed was said to be."""


class FeedFormatError(FirmwareError, ValueError):
    """The feed is there, but its pictures cannot be measured."""


class FeedOptionError(FirmwareError, ValueError):
    """An option of a feed is unknown or impossible."""


class FrameMissingError(FirmwareError, LookupError):
    """The feed has no frame of the number asked for, or none at all."""


class ProfileError(FirmwareError, ValueError):
    """A profile has mistakes; the message lists all of them, one a line."""


class PresetError(FirmwareError, ValueError):
    """A preset has mistakes, or none is chosen; the message lists all of them, one a line."""


class UnknownProfileError(FirmwareError, KeyError):
    """No profile has the name asked for."""

    def __str__(self) -> str:
        # KeyError would print the repr of the sentence.
        return str(self.args[0])


class CheckedFileError(FirmwareError, ValueError):
    """The file of checked capture devices cannot be understood or written."""


class ArgumentError(FirmwareError, ValueError):
    """A value on the command line cannot be understood."""


class QuantityError(FirmwareError, ValueError):
    """A number with its unit cannot be understood, or is out of all reason."""


class TimeCodeError(FirmwareError, ValueError):
    """What a file calls its time code is none; a warning, since frames can be counted without."""


class ScreenError(FirmwareError, RuntimeError):
    """There is no screen that shows anything."""


class KernelCacheError(FirmwareError, RuntimeError):
    """Compiled kernels can be kept nowhere, not even in memory."""


class PageError(FirmwareError, ValueError):
    """A phone asked the page for what is not understood, or the page cannot be served."""


class KitError(FirmwareError, ValueError):
    """The kit's broker cannot be reached or refuses, or what came from it is not understood."""


class UpdateError(FirmwareError, ValueError):
    """A version cannot be taken, or there is none to go back to; nothing was changed."""


class ThreadStuckError(FirmwareError, RuntimeError):
    """A thread outlived its deadline to stop; always a bug, reported by the thread's name."""


class JournalError(FirmwareError, RuntimeError):
    """The journal cannot be read or written, or was changed.

    `brief` is why and what to do in a few words, for a line on a screen; `is_damaged` where the
    file itself no longer is what was written, so that nothing can be added to it.
    """

    def __init__(self, words: str, brief: str = "", *, is_damaged: bool = False) -> None:
        super().__init__(words)
        self.brief, self.is_damaged = brief or words, is_damaged
