"""What numbers are made of, as it stands in a row: codes, what they were read with, the profile."""

from dataclasses import replace
from typing import Any

from firmware.errors import JournalError
from firmware.instruments.codes import MOST_SIDE, Codes, boxes_of, cut
from firmware.instruments.kept_places import KeptPlaces
from firmware.instruments.scene import Scene
from firmware.journal.inputs import Inputs, inputs_object, inputs_of, profile_of
from firmware.journal.mark_numbers import Evidence
from firmware.journal.profile_texts import profile_text


def evidence_object(kept: Evidence, text: str) -> dict[str, Any]:
    """All but the codes themselves, which stand behind one another in the row's `codes`."""
    codes = kept.codes
    return {
        "profile": {"name": kept.profile.name, "text": text},
        "inputs": inputs_object(kept.inputs),
        "codes": {
            "rows": codes.rows,
            "columns": codes.columns,
            "bytes": codes.sample_bytes,
            "boxes": [list(box) for box in codes.boxes],
            "packed": len(codes.packed),
        },
    }


def evidence_of(body: Any, packed: bytes) -> tuple[Evidence, bytes]:  # noqa: ANN401 - JSON
    """What such an object stands for, and the codes that stand behind its own.

    Raises
    ------
    JournalError
        It makes no sense.
    KeyError, TypeError, ValueError
        Something is missing in it.
    """
    where = body["codes"]
    rows, columns, each = [int(where[name]) for name in ("rows", "columns", "bytes")]
    if not 0 < min(rows, columns, each) <= max(rows, columns, each) <= MOST_SIDE:
        raise JournalError("the picture that the stored codes lie in is none")
    length = int(where.get("packed", len(packed)))
    codes = Codes(rows, columns, each, boxes_of(where["boxes"]), packed[:length])
    profile = profile_of(body["profile"]["text"], body["profile"]["name"])
    return Evidence(codes, inputs_of(body["inputs"]), profile), packed[length:]


def of_pins(scene: Scene) -> tuple[Evidence, str] | None:
    """What the pins of an earlier scene are read from, and its profile's text.

    None where the profile's file says something else by now.
    """
    frame, read_with = scene.frame, scene.read_with
    try:
        text = profile_text(read_with.profile)
        profile = profile_of(text, read_with.profile.name)
    except JournalError:
        return None
    inputs = Inputs.of(frame, scene.yard, scene.desk, scene.place, read_with)
    places = [scene.place, *(pin.place for pin in scene.desk.pins)]
    return Evidence(cut(frame, places), inputs, profile), text


def of_places(kept: KeptPlaces, text: str | None = None) -> tuple[Evidence, str] | None:
    """What places of a frame that is gone are read from, and its profile's text.

    None where the profile's file says something else by now; it is not looked at again where `text`
    says what was just read there.
    """
    read_with = kept.read_with
    try:
        text = text or profile_text(read_with.profile)
        profile = profile_of(text, read_with.profile.name)
    except JournalError:
        return None
    inputs = Inputs.of(kept, kept.yard, kept.desk, kept.place, read_with)
    inputs = replace(inputs, counts=kept.counts)
    return Evidence(kept.codes, inputs, profile), text
