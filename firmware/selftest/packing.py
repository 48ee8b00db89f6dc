"""The one file to send: a ZIP with the answers for a machine, for a person, and the photographs."""

import io
import json
import zipfile
from collections.abc import Sequence

from firmware.answers.cleaner import enveloped
from firmware.selftest.found import CheckedRow, RowOutcome, Seer, SelftestObject
from firmware.selftest.questions import Photograph

JSON, TEXT = "selftest.json", "selftest.txt"
_TIME = (1980, 1, 1, 0, 0, 0)
"""Of every member, so that the same findings give the same file; the earliest a ZIP can say."""


def packed(found: SelftestObject, photographs: Sequence[Photograph]) -> bytes:
    """The file's bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        told = json.dumps(enveloped(found), indent=2, ensure_ascii=False, allow_nan=False)
        for name, content in (
            (TEXT, text_of(found).encode()),
            (JSON, f"{told}\n".encode()),
            *((each.name, each.content) for each in photographs),
        ):
            pack.writestr(zipfile.ZipInfo(name, _TIME), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def text_of(found: SelftestObject) -> str:
    """The same for a person to read."""
    of = found.machine
    counts = ", ".join(f"{found.count(each)} {each.value}" for each in RowOutcome)
    model = of.model or "a machine that does not name itself"
    head = [
        f"midgrey {of.midgrey}, self-test of {of.day or 'a day that is not known'}",
        "; ".join((model, of.system or "system not named", f"kernel {of.kernel}, {of.processor}")),
        f"bridge or stick: {of.bridge or 'not written down'}; feed: {found.feed or 'none'}",
        "nobody was asked: what only a person can see is open" if found.is_alone else "",
        f"{len(found.steps)} steps: {counts}",
    ]
    return "\n".join([*filter(None, head), *(_step(each) for each in found.steps)]) + "\n"


def _step(step: CheckedRow) -> str:
    found = step.found
    seen = "" if found.seen_by is Seer.NOBODY else f" (seen by {found.seen_by.value})"
    lines = [
        "",
        f"{step.number}. {step.question}",
        f"   {found.outcome.value}{seen}: {found.words}",
        *(f"   {each.words}" for each in found.figures),
    ]
    if found.outcome is RowOutcome.CANNOT:
        lines.append(f"   needs: {step.needs}")
    if found.typed:
        lines.append(f"   written: {found.typed}")
    if found.photograph:
        lines.append(f"   photograph: {found.photograph}")
    return "\n".join(lines)
