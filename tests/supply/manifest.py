"""What midgrey is delivered with: dependencies, their versions and licences, and what wheels carry.

    python -m tests.supply.manifest > systemd/NOTICES.md

Everything is read from what is installed: the licence that a package declares, the licence texts
that lie in it, the libraries that its wheel has brought along, and what FFmpeg's own functions say
of the build (`avcodec_license`, `avcodec_configuration`).
"""

import ctypes
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

import av  # noqa: F401 - so that FFmpeg's libraries find each other
from packaging.requirements import Requirement

from tests.places import ROOT

NOTICES = ROOT / "systemd" / "NOTICES.md"
_BUILD_NUMBER = re.compile(r"-[0-9a-f]{8}(?=[.\-]|$)|-[0-9]+-[0-9a-f]{8}")
_LIBRARY = re.compile(r"(?:^|/)[^/]+\.libs/(lib[^/]+\.so[^/]*)$")
_TEXT = re.compile(r"(?i)(^|/)(licen[cs]e|copying|notice)[^/]*$")
_SHORT = 60
UNDER_GPL = ("libx264", "libx265")
"""Libraries whose own projects say GPL, version 2 or later (the heads of their sources; from
memory, since the wheel holds no text of theirs)."""
_COPYLEFT = re.compile(r"\b(A?GPL|LGPL)")


@dataclass(frozen=True, slots=True)
class Package:
    """A distribution.

    Attributes
    ----------
    licence:
        As its metadata declare it.
    texts:
        Licence files within it.
    libraries:
        Shared libraries of others that its wheel has brought along.
    """

    name: str
    version: str
    licence: str
    texts: tuple[str, ...]
    libraries: tuple[str, ...]


def names() -> list[str]:
    """The dependencies of midgrey and theirs, without extras, in this environment."""
    found: set[str] = set()
    waiting = list(metadata.requires("midgrey") or ())
    while waiting:
        wanted = Requirement(waiting.pop())
        name = wanted.name.lower().replace("_", "-")
        if name in found or (wanted.marker and not wanted.marker.evaluate({"extra": ""})):
            continue
        found.add(name)
        waiting += metadata.requires(name) or ()
    return sorted(found)


def package(name: str) -> Package:
    """What is known of a distribution that is installed."""
    found = metadata.distribution(name)
    files = [str(each) for each in found.files or ()]
    texts = [each for each in files if ".dist-info/" in each and _TEXT.search(each)]
    libraries = {_BUILD_NUMBER.sub("", m[1]) for each in files if (m := _LIBRARY.search(each))}
    return Package(
        name,
        found.version,
        _licence(found.metadata),
        tuple(sorted(each.split(".dist-info/")[1] for each in texts)),
        tuple(sorted(libraries)),
    )


def _licence(told: metadata.PackageMetadata) -> str:
    """The expression, else the classifiers, else the first line of the text."""
    for expression in told.get_all("License-Expression") or ():
        return str(expression)
    classes = [each for each in told.get_all("Classifier") or () if each.startswith("License ::")]
    if classes:
        return ", ".join(each.rpartition(" :: ")[2] for each in classes)
    line = str((told.get_all("License") or [""])[0]).strip().split("\n")[0]
    return line[:_SHORT] or "not declared"


def ffmpeg() -> tuple[str, tuple[str, ...]]:
    """The licence of FFmpeg as PyAV's wheel brings it, and what it was built with."""
    (path,) = _libraries("av", "libavcodec")
    library = ctypes.CDLL(str(path))
    library.avcodec_license.restype = library.avcodec_configuration.restype = ctypes.c_char_p
    switches = library.avcodec_configuration().decode().split()
    wanted = [each for each in switches if each.startswith(("--enable-gpl", "--enable-version3"))]
    encoders = [each for each in switches if each in {"--enable-libx264", "--enable-libx265"}]
    return library.avcodec_license().decode(), (*wanted, *encoders)


def _libraries(name: str, start: str) -> list[Path]:
    files = metadata.distribution(name).files or ()
    found = [each for each in files if f"/{start}" in str(each) and ".so" in str(each)]
    return [Path(str(each.locate())) for each in found]


def text() -> str:
    """The manifest."""
    return "\n".join(_lines()) + "\n"


def _lines() -> Iterator[str]:
    packages = [package(name) for name in names()]
    licence, switches = ffmpeg()
    yield "# What midgrey is delivered with"
    yield ""
    yield "Made by `python -m tests.supply.manifest` of what is installed; held by `tests/supply`."
    yield "midgrey itself is Apache-2.0 (`LICENSE`). Versions with hashes stand in `locks/`."
    yield "A card brings wheels of other versions: `../hardware/card/NOTICES.md` lists those."
    yield ""
    yield "An appliance has all but gpiozero and the typeface from Debian's archive, whose licences"
    yield "lie in `/usr/share/doc/*/copyright`. Installed by pip, these packages come as wheels:"
    yield ""
    yield "| package | version | licence it declares | its texts, in the package |"
    yield "| --- | --- | --- | --- |"
    for each in packages:
        texts = ", ".join(f"`{text_}`" for text_ in each.texts) or "none"
        yield f"| {each.name} | {each.version} | {each.licence} | {texts} |"
    yield ""
    yield "## What has conditions for whoever hands it on"
    yield ""
    for each in packages:
        if _COPYLEFT.search(each.licence):
            yield (
                f"- **{each.name} {each.version}** is {each.licence}: hand on its licence and "
                "where its source is to be had, and let it be exchanged for another build."
            )
    version, libraries = package("av").version, package("av").libraries
    gpl = [each for each in libraries if each.startswith(UNDER_GPL)]
    built = f", built with {' '.join(switches)}" if switches else ""
    yield f'- **FFmpeg in the wheel of av {version}** says of itself "{licence}"{built}.'
    if gpl:
        yield (
            f"  The wheel also carries {' and '.join(gpl)}, whose projects put them under the GPL, "
            "version 2 or later: whoever hands that wheel on does so under the GPL, with an offer "
            "of the source. midgrey encodes with neither; its tests do."
        )
    yield ""
    yield "## Libraries of others that wheels carry"
    yield ""
    yield "The wheels hold no licence text of theirs; each library's own project has it."
    yield ""
    for each in packages:
        if each.libraries:
            yield f"- **{each.name} {each.version}**: {', '.join(each.libraries)}"


if __name__ == "__main__":
    sys.stdout.write(text())
