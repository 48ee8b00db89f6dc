"""What no answer's numbers may be: a ± beside a bound, stops that no camera has, no number at all.

Of objects as `--json` prints them and of the sentences for people. Used by the sweep of sentences.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Any

MOST_STOPS = 20.0
"""Larger is no reading of a picture: the longest curve holds some 17 stops in all."""
IN_STOPS = frozenset({"headroom", "footroom", "headroom_rgb", "farthest", "brightest", "darkest"})
"""Keys whose numbers are stops although they do not say so; others end in `stops`. (`off` is left
out: of a target it is stops, of a chip a percentage.)"""
OF_A_BOUND = frozenset({"pm", "stops_pm", "off_pm"})
"""Half widths of what `at_least` and `at_most` say is only a bound."""
BOUND_AND_PM = re.compile(r"(?:\bat (?:least|most)\b|[≥≤]) ?[-+−]?\d[\d.]*(?: ?(?:st|stops))? ?±")
STOPS_SAID = re.compile(r"([-+−]?\d+(?:\.\d+)?) ?(?:st|stops)\b")
NO_NUMBER = re.compile(r"(?<![A-Za-z])[-+−]?(?:inf|nan)(?![A-Za-z])")


def faults_of_object(value: Any, path: str = "") -> Iterator[str]:
    """What is wrong with the numbers of an object of JSON, each with where it stands."""
    if isinstance(value, Mapping):
        yield from _of_mapping(value, path)
        for key, each in value.items():
            yield from faults_of_object(each, f"{path}.{key}".lstrip("."))
    elif isinstance(value, list):
        for number, each in enumerate(value):
            yield from faults_of_object(each, f"{path}[{number}]")


def _of_mapping(value: Mapping[str, Any], path: str) -> Iterator[str]:
    for key, each in value.items():
        if key in {"at_least", "at_most"} and each is True:
            yield from (f"{path}.{pm} beside {key}" for pm in _known(value, OF_A_BOUND))
        elif key.endswith(("_at_least", "_at_most")):
            stem = key.rpartition("_at_")[0]
            if each is True and value.get(f"{stem}_pm") is not None:
                yield f"{path}.{stem}_pm beside {key}"
            yield from (f"{path}.{it} beside {key}" for it in _channels(value, stem, each))
        elif key in IN_STOPS or key.endswith("stops"):
            yield from (f"{path}.{key} of {n}" for n in _numbers(each) if abs(n) > MOST_STOPS)
    if value.get("clipped") == 1.0:  # the whole of a spot
        pms = _known(value, OF_A_BOUND | {"percent_pm"})
        yield from (f"{path}.{pm} of what is clipped" for pm in pms)


def _known(value: Mapping[str, Any], keys: frozenset[str]) -> list[str]:
    return sorted(key for key in keys if value.get(key) is not None)


def _channels(value: Mapping[str, Any], stem: str, bounds: Any) -> Iterator[str]:
    """Half widths of channels that are bounds."""
    pms = value.get(f"{stem}_stops_pm")
    if isinstance(bounds, list) and isinstance(pms, list):
        for bound, pm, name in zip(bounds, pms, "RGB", strict=True):
            if bound and pm is not None:
                yield f"{stem}_stops_pm of {name}"


def _numbers(value: Any) -> Iterator[float]:
    if isinstance(value, list):
        for each in value:
            yield from _numbers(each)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield float(value)


def faults_of_words(text: str) -> Iterator[str]:
    """What is wrong with the numbers of a text for people."""
    yield from (f"a bound with a ±: {said}" for said in BOUND_AND_PM.findall(text))
    yield from (f"no number: {said}" for said in NO_NUMBER.findall(text))
    for said in STOPS_SAID.findall(text):
        if abs(float(said.replace("−", "-"))) > MOST_STOPS:
            yield f"{said} stops"
