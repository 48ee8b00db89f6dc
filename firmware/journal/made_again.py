"""What an answer of more than one frame is made of, in a row and out of it again."""

from collections.abc import Mapping, Sequence
from typing import Any

from firmware.errors import JournalError
from firmware.instruments.grounds import Grounds, GroundsFound
from firmware.instruments.kept_places import KeptPlaces
from firmware.instruments.pin_frames import PinFrames
from firmware.instruments.scene import Scene
from firmware.journal.evidence import evidence_object, evidence_of, of_places
from firmware.journal.inputs import decided_of, place_of, settings_object
from overlays.measure.pins.lighting import MOST_PINS
from overlays.measure.spot.spot import SpotPlace

MOST_OTHERS = 64
"""Earlier frames whose codes one row holds; more is no row of ours."""


def grounds_object(grounds: Grounds, scene: Scene, text: str) -> tuple[dict[str, Any], bytes]:
    """All that is kept as it stands in a row, and the codes behind one another.

    `scene` is the row's own: codes of a pin in frames of another signal are left out. Where an
    earlier frame's profile cannot be read any more, none of the earlier frames is kept.
    """
    body: dict[str, Any] = {"made_of": settings_object(grounds.made_of)}
    others = others_object(grounds.scenes, text)
    packed = b""
    if others is not None:
        body["others"], packed = others
    body["frames"] = []
    for pin, kept in grounds.frames.items():
        if (kept.signal, kept.shift) != (scene.frame.signal, scene.frame.shift) or not kept.samples:
            continue
        made = kept.packed()
        body["frames"].append(
            {
                "pin": pin,
                "place": settings_object(kept.place),
                "size": list(kept.size),
                "bytes": kept.sample_bytes,
                "times": list(kept.samples),
                "packed": len(made),
            }
        )
        packed += made
    return body, packed


def found_of(body: Mapping[str, Any], packed: bytes, scene: Scene, kind: type) -> GroundsFound:
    """The same out of a row; `packed` begins with its codes.

    Raises
    ------
    JournalError, KeyError, TypeError, ValueError
        It makes no sense.
    """
    made_of = decided_of(body["made_of"], kind)
    scenes, packed = others_of(body, packed)
    frames, packed = frames_of(body, packed, scene)
    if packed:
        raise JournalError("there are more codes than anything is made of")
    return GroundsFound(made_of, scene, scenes, frames)


def others_object(
    kept: Sequence[KeptPlaces], text: str
) -> tuple[list[dict[str, Any]], bytes] | None:
    """Earlier frames' codes as they stand in a row, and the codes behind one another.

    A profile whose text is that of the mark stands there once. None where one cannot be read any
    more: then nothing of them can be found again.
    """
    out: list[dict[str, Any]] = []
    packed, texts = b"", dict[int, str]()  # of profiles, by which they are
    for each in kept[:MOST_OTHERS]:
        profile = id(each.read_with.profile)
        found = of_places(each, texts.get(profile))
        if found is None:
            return None
        evidence, of_it = found
        texts[profile] = of_it
        out.append(evidence_object(evidence, of_it))
        packed += evidence.codes.packed
        if of_it == text:
            del out[-1]["profile"]
    return out, packed


def others_of(body: Mapping[str, Any], packed: bytes) -> tuple[list[Scene], bytes]:
    """The earlier scenes of a row, and the codes that stand behind theirs.

    Raises
    ------
    JournalError, KeyError, TypeError, ValueError
        They make no sense.
    """
    scenes = []
    for each in _list_of(body.get("others"), MOST_OTHERS):
        evidence, packed = evidence_of({"profile": body["profile"], **each}, packed)
        scenes.append(evidence.scene())
    return scenes, packed


def frames_of(
    body: Mapping[str, Any], packed: bytes, scene: Scene
) -> tuple[dict[int, PinFrames], bytes]:
    """Codes of pins alone, and the codes that stand behind theirs.

    Raises
    ------
    JournalError, KeyError, TypeError, ValueError
        They make no sense.
    """
    out: dict[int, PinFrames] = {}
    for each in _list_of(body.get("frames"), MOST_PINS):
        rows, columns = (int(number) for number in each["size"])
        place: SpotPlace = place_of(each["place"])
        like = PinFrames(
            place, (rows, columns), scene.frame.signal, scene.frame.shift, int(each["bytes"])
        )
        length = int(each["packed"])
        if length < 0:
            raise JournalError("the stored frames of a pin are none")
        out[int(each["pin"])] = like.unpacked(each["times"], packed[:length])
        packed = packed[length:]
    return out, packed


def _list_of(found: Any, most: int) -> list[Any]:  # noqa: ANN401 - JSON
    if found is None:
        return []
    if not isinstance(found, list):
        raise JournalError("its earlier frames are none")
    if len(found) > most:
        raise JournalError("it holds codes of more frames than any row")
    return found
