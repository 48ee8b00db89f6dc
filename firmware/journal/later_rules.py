"""What rules of later versions make otherwise of the same codes: left to the seal of older rows.

Since 0.25 a ± counts in that its places were chosen and that rounding adds, a darkest thing without
a ± has no footroom, and nothing is decided or advised that a ± denies. A row of before keeps what
was said then: there the seal alone holds it, and it is named.
"""

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from firmware.journal.pairs_before import Pair

OF_READ = frozenset({"footroom", "darkest"})
"""Of the picture as a whole."""
OF_CUT_OFF = frozenset({"stops", "rgb_stops"})
"""Of a spot whose noise is cut off: "at most" was the mean then, without its ±."""
OF_ANSWER: Mapping[str, frozenset[str]] = {
    "advice": frozenset({"advice", "forecast"}),
    "balance": frozenset({"advice", "filter"}),
    "chart": frozenset({"de00_pm"}),
    "chips": frozenset({"advice", "explanations", "in_tolerance"}),
    "match": frozenset({"advice"}),
    "pins": frozenset({"key_over_fill_stops", "pm", "within_pm"}),
    "spot": OF_READ,
}
"""By the instrument's name."""
READINGS = frozenset({"", "seen"})


def as_said_then(pairs: list[Pair], name: object) -> tuple[list[Pair], tuple[str, ...]]:
    """Pairs of an older row without what later rules make otherwise, and what that is called.

    Parameters
    ----------
    pairs:
        What is stored, and what is found again.
    name:
        Of the row's instrument; None where it has none.
    """
    keys = OF_ANSWER.get(str(name), frozenset())
    out, names = list[Pair](), list[str]()
    for stored, again, where in pairs:
        apart = OF_READ if where in READINGS else keys if where == name else frozenset[str]()
        names += _otherwise(stored, again, apart, where)
        out.append((_without(stored, again, apart), _without(again, stored, apart), where))
    if not names:
        return pairs, ()
    # What was said and listed rests on that, too; and on a bound whatever is made of the spot.
    objects = READINGS if any(_cut_off(*each) for each in pairs) else READINGS | {name}
    kept = [each for each in out if each[2] in objects or each[0] == each[1]]
    return kept, tuple(dict.fromkeys(names))


def _cut_off(stored: Any, again: Any, where: str) -> bool:  # noqa: ANN401 - JSON
    """Whether a spot that was read is a bound from above that is another now."""
    return where in READINGS and any(
        each.rpartition(".")[2] in OF_CUT_OFF for each in _otherwise(stored, again, (), where)
    )


def _otherwise(stored: Any, again: Any, keys: Collection[str], where: str) -> Iterator[str]:  # noqa: ANN401 - JSON
    """Names of those keys under which something else is found again."""
    if isinstance(stored, Mapping) and isinstance(again, Mapping):
        keys = _keys_of(stored, keys)
        for key in stored.keys() & again.keys():
            inner = f"{where}.{key}".lstrip(".")
            if key in keys and stored[key] != again[key]:
                yield inner
            elif key not in keys:
                yield from _otherwise(stored[key], again[key], keys, inner)
    elif isinstance(stored, list) and isinstance(again, list):
        for one, other in zip(stored, again, strict=False):
            yield from _otherwise(one, other, keys, where)


def _keys_of(found: Mapping[str, Any], keys: Collection[str]) -> Collection[str]:
    return OF_CUT_OFF if found.get("at_most") is True else keys


def _without(found: Any, other: Any, keys: Collection[str]) -> Any:  # noqa: ANN401 - JSON
    """What was found, without those keys where the other has something else."""
    if isinstance(found, Mapping) and isinstance(other, Mapping):
        keys = _keys_of(found, keys)
        return {
            key: _without(each, other.get(key), keys)
            for key, each in found.items()
            if not (key in keys and key in other and each != other[key])
        }
    if isinstance(found, list) and isinstance(other, list) and len(found) == len(other):
        return [_without(one, two, keys) for one, two in zip(found, other, strict=True)]
    return found
