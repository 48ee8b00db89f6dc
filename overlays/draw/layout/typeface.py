"""Which typeface the screen is set in, and what stands in where it is not installed.

IBM Plex Sans Condensed, SemiBold, under the SIL Open Font License 1.1, as the package
`fontpkg-ibm-plex-sans-condensed` ships it unmodified. It was chosen by what can be measured on it
(`tests/overlays/draw/layout/test_typeface.py`): figures and signs of one width, a minus of that
width, kerning between letters and none between figures, I, l and 1 apart as well as 0 and O; and a
tenth narrower than what pygame brings, so that on a small screen the same column holds higher
letters. SemiBold, because thin strokes are the first to go in sunlight and at 15 pixels.

The file is found as a part of an installed library, as pygame finds its own.
"""

from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec

PACKAGE = "fontpkg_ibm_plex_sans_condensed"
FILE = "files/IBMPlexSansCondensed-SemiBold.ttf"

OWN_EM_SHARE = 0.6875
"""pygame draws its own font at this share of the size asked for."""

MISSING = (
    f"the typeface {PACKAGE.replace('_', '-')} is not installed and pygame's own stands in: "
    f"pip install {PACKAGE.replace('_', '-')}"
)


@dataclass(frozen=True, slots=True)
class Typeface:
    """A font file.

    Attributes
    ----------
    file:
        Where it lies; None for pygame's own.
    em_share:
        Em over the size that has to be asked for, above 0.
    missing:
        One sentence where this only stands in for what is not there, else empty.
    exchanged:
        Signs that it has under another number, and under which.
    """

    file: str | None
    em_share: float = 1.0
    missing: str = ""
    exchanged: tuple[tuple[str, str], ...] = ()

    def spelt(self, words: str) -> str:
        """Words in the signs that the face has."""
        for sign, other in self.exchanged:
            words = words.replace(sign, other)
        return words


DELTA = ("\N{GREEK CAPITAL LETTER DELTA}", "\N{INCREMENT}")

STAND_IN = Typeface(None, OWN_EM_SHARE, MISSING)


@cache
def typeface() -> Typeface:
    """The typeface of the screen, looked for once."""
    found = find_spec(PACKAGE)
    places = None if found is None else found.submodule_search_locations
    return STAND_IN if not places else Typeface(f"{places[0]}/{FILE}", exchanged=(DELTA,))
