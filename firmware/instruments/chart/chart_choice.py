"""Which charts may be meant, and the reading by the one that fits."""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Annotated, Any

import numpy as np
from pydantic import PlainSerializer, PlainValidator

from firmware.errors import ArgumentError
from firmware.instruments.chart import ChartOptions
from firmware.instruments.scene import Scene
from firmware.system.files import reason_of
from firmware.written.corners import parse_layout
from overlays.errors import ChartError
from overlays.measure.chart.chart import read_chart_in_steps
from overlays.measure.chart.chart_file import chart_from_text
from overlays.measure.chart.chart_reading import ChartReading, Scaling
from overlays.measure.chart.editions import EDITIONS
from overlays.measure.chart.place import Corners, in_order, patch_places
from overlays.measure.chart.reference import BUILT_IN, ChartReference
from overlays.measure.spot.spot import SpotPlace
from overlays.sharing.stepwise import Steps

LARGEST_BYTES = 2_000_000
"""A chart's text is some pages long."""


def load_reference(path: Path, layout: str | None) -> ChartReference:
    """The chart of a CGATS text.

    Raises
    ------
    ArgumentError
        The file cannot be read, or the layout is none.
    ChartFileError
        Its text cannot be understood.
    """
    placed = None if layout is None else parse_layout(layout)
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_BYTES + 1)
    except OSError as fault:
        raise ArgumentError(
            f"{path}: cannot be read ({reason_of(fault)}); check --reference"
        ) from fault
    if len(raw) > LARGEST_BYTES:
        raise ArgumentError(f"{path}: is larger than any chart's text; is it the right file?")
    return chart_from_text(raw.decode("utf-8", errors="replace"), path.stem, placed)


def reference_object(reference: ChartReference) -> dict[str, Any]:
    """A chart as an object of JSON, to the last bit."""
    return {each.name: getattr(reference, each.name) for each in fields(reference)} | {
        "names": list(reference.names),
        "xyz": reference.xyz.tolist(),
    }


def reference_of(found: object) -> ChartReference:
    """The chart of such an object.

    Raises
    ------
    ValueError
        It is none.
    """
    if isinstance(found, ChartReference):
        return found
    if not isinstance(found, Mapping) or set(found) != {
        each.name for each in fields(ChartReference)
    }:
        raise ValueError("no chart")
    xyz, names = np.asarray(found["xyz"], np.float64), tuple(map(str, found["names"]))
    rows, columns = int(found["rows"]), int(found["columns"])
    if min(rows, columns) < 1 or xyz.shape != (rows * columns, 3) or len(names) != len(xyz):
        raise ValueError("a chart with more or fewer patches")
    if not np.isfinite(xyz).all():
        raise ValueError("a chart with a colour that is none")
    named = {key: str(found[key]) for key in ("name", "source", "edition")}
    return ChartReference(
        rows=rows, columns=columns, names=names, xyz=xyz, gap=float(found["gap"]), **named
    )


KeptReference = Annotated[
    ChartReference, PlainValidator(reference_of), PlainSerializer(reference_object)
]
"""A chart, as far as settings with it are kept."""


def read_at(reference: ChartReference, corners: Corners) -> tuple[SpotPlace, ...] | None:
    """Where patches are read within corners that stand in a chart's own order.

    None where they stand in none.
    """
    placed = in_order(corners.points)
    quarters = [n for n in range(4) if placed.turned(n).points == corners.points]
    return tuple(patch_places(reference, placed.turned(quarters[0] % 2))) if quarters else None


def references_of(options: ChartOptions) -> tuple[ChartReference, ...]:
    """The charts that may be meant.

    Raises
    ------
    ArgumentError, ChartFileError
        A file that cannot be read or understood, a layout without a file, an edition of one.
    """
    if options.reference is None:
        if options.layout is not None:
            raise ArgumentError("--layout without --reference; it is of a chart from a file")
        return BUILT_IN if options.edition is None else (_edition(options.edition),)
    if options.edition is not None:
        raise ArgumentError("--edition with --reference; the file's figures are of one make")
    return (load_reference(options.reference, options.layout),)


def _edition(asked: str) -> ChartReference:
    found = EDITIONS.get(asked)
    if found is None:
        raise ArgumentError(f"unknown edition {asked!r}; there are {', '.join(EDITIONS)}")
    return found


def read_any(
    scene: Scene, references: Sequence[ChartReference], corners: Corners, scaling: Scaling
) -> Steps[ChartReading]:
    """The reading by the first of the references that fits what lies within the corners, in steps.

    Raises
    ------
    ChartError
        None does; the first one's reason.
    """
    reasons: list[ChartError] = []
    for reference in references:
        try:
            return (
                yield from read_chart_in_steps(
                    scene.frame, scene.yard, scene.gamut, reference, corners, scaling
                )
            )
        except ChartError as fault:
            reasons.append(fault)
    # A chart that is there but cannot be read says more than one that is not.
    raise max(reasons, key=lambda fault: not isinstance(fault, LookupError))
