"""The programs that do the work, called in one place: found, run, and their failure said.

Nothing here needs more rights than to read the image and to write beside it.
"""

import os
import shutil
import subprocess
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from hardware.card.errors import ToolFailedError, ToolMissingError

PACKAGES = {
    "apt-get": "apt",
    "debugfs": "e2fsprogs",
    "dpkg-deb": "dpkg",
    "e2fsck": "e2fsprogs",
    "mcopy": "mtools",
    "mke2fs": "e2fsprogs",
    "mkfs.vfat": "dosfstools",
    "mmd": "mtools",
    "mmdebstrap": "mmdebstrap",
    "mtype": "mtools",
    "qemu-aarch64-static": "qemu-user-static",
    "resize2fs": "e2fsprogs",
    "unshare": "util-linux",
}
"""Program -> the Debian package that brings it."""

PATH = "/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin"
"""Besides the user's own: tools for file systems lie where only root looks for them."""

_LAST = 600
"""Letters of a failed program's last words that are passed on."""


def need(programs: Iterable[str], find: Callable[[str], str | None] | None = None) -> None:
    """Say which Debian packages bring what is missing.

    Raises
    ------
    ToolMissingError
        One of them is not there.
    """
    seek = find or _find
    missing = sorted(name for name in set(programs) if seek(name) is None)
    if missing:
        packages = " ".join(sorted({PACKAGES[name] for name in missing}))
        raise ToolMissingError(
            f"this machine lacks {', '.join(missing)}: on Debian, `sudo apt-get install {packages}`"
        )


def _find(program: str) -> str | None:
    return shutil.which(program, path=_path(os.environ))


def _path(environ: Mapping[str, str]) -> str:
    return f"{environ.get('PATH', '')}:{PATH}"


@dataclass(frozen=True)
class Tools:
    """Runs programs with a plain environment, so that the same input gives the same output.

    Attributes
    ----------
    epoch:
        Seconds since 1970 that everything written is dated with (SOURCE_DATE_EPOCH,
        reproducible-builds.org/specs/source-date-epoch).
    environ:
        Variables besides.
    """

    epoch: int
    environ: Mapping[str, str] = field(default_factory=dict)

    def run(
        self, *command: str, given: str | None = None, accept: tuple[int, ...] = (0,)
    ) -> tuple[str, str]:
        """Run a program to its end.

        Parameters
        ----------
        command:
            The program and its words.
        given:
            What it reads from its standard input.
        accept:
            Statuses that are no failure.

        Returns
        -------
        tuple of str
            What it said on standard output and on standard error.

        Raises
        ------
        ToolMissingError, ToolFailedError
        """
        try:
            done = subprocess.run(
                command,
                input=given,
                capture_output=True,
                text=True,
                errors="replace",
                check=False,
                env=self.environment(),
            )
        except FileNotFoundError:
            need([command[0]], lambda _: None)
            raise
        if done.returncode not in accept:
            said = " ".join((done.stderr.strip() or done.stdout.strip())[-_LAST:].split())
            raise ToolFailedError(
                f"{command[0]} ended with {done.returncode}: {said}", done.stdout + done.stderr
            )
        return done.stdout, done.stderr

    def environment(self) -> dict[str, str]:
        """What programs are given: dates that do not move, one language, one zone."""
        return {
            **os.environ,
            "PATH": _path(os.environ),
            "LC_ALL": "C.UTF-8",
            "TZ": "UTC",
            "SOURCE_DATE_EPOCH": str(self.epoch),
            # Before SOURCE_DATE_EPOCH was known to them (e2fsprogs up to 1.47.0) tools for ext4
            # had this; e2fsck's own name for it is the second.
            "E2FSPROGS_FAKE_TIME": str(self.epoch),
            "E2FSCK_TIME": str(self.epoch),
            "MTOOLS_SKIP_CHECK": "1",
            **self.environ,
        }
