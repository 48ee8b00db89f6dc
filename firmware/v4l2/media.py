"""Setting up the way from an HDMI bridge to memory where the kernel leaves that to us (Pi 5).

What has to be done, and in which order, was reported to work by the engineers of the board
(raspberrypi/linux issue 7523): timings on the bridge's own node; the link from the receiver to its
memory writer; the same format on every pad along the way, with progressive fields and a colour
space said (a missing one makes the start fail with EPIPE); then the format of the video node. After
a change of timings every pad has to be set again.
"""

from dataclasses import dataclass
from pathlib import Path

from firmware.v4l2 import media_structs as ms
from firmware.v4l2.graph import SUBDEV_S_FMT, Connection, Graph, Pad, enable_link, read_graph
from firmware.v4l2.kernel import Kernel

BRIDGE = "tc358743"
"""Entities are found by how their names begin: the rest is an address that changes."""
WRITER = "csi2_ch"
"""Part of the name of the entity that writes to memory unprocessed."""

UYVY8_1X16 = 0x200F
"""MEDIA_BUS_FMT_UYVY8_1X16"""
FIELD_NONE = 1
"""V4L2_FIELD_NONE"""
SMPTE170M = 1
"""V4L2_COLORSPACE_SMPTE170M: what the bridge's BT.601 output is called"""
ACTIVE = 1
"""V4L2_SUBDEV_FORMAT_ACTIVE"""


@dataclass(frozen=True, slots=True)
class Way:
    """From bridge to memory.

    Attributes
    ----------
    media:
        The media device.
    receiver:
        Node that answers for timings, EDID and source changes.
    capture:
        Node the frames come from.
    to_enable:
        Links that have to be switched on.
    pads:
        (node, pad) whose formats have to agree, in order from the bridge.
    """

    media: str
    receiver: str
    capture: str
    to_enable: tuple[Connection, ...]
    pads: tuple[tuple[str, int], ...]


def plan(graph: Graph, media: str) -> Way | None:
    """The way from a bridge to memory in this graph, or None where there is no bridge."""
    for entity in sorted(graph.names):
        if graph.names[entity].startswith(BRIDGE) and entity in graph.nodes:
            links = _links_from(graph, Pad(entity, 0))
            if links:
                return _way(graph, media, entity, links)
    return None


def _links_from(graph: Graph, source: Pad) -> tuple[Connection, ...]:
    """Links from a pad to a node in memory; empty where none leads there."""
    for link in (link for link in graph.links if link.source == source):
        node = graph.nodes.get(link.sink.entity, "")
        if node.startswith("/dev/video"):
            if WRITER in graph.names[link.sink.entity] or link.immutable:
                return (link,)
            continue
        # A receiver has as many sinks as sources, and passes one on to its counterpart.
        onward = Pad(link.sink.entity, link.sink.index + graph.pads[link.sink.entity] // 2)
        rest = _links_from(graph, onward)
        if rest:
            return (link, *rest)
    return ()


def _way(graph: Graph, media: str, bridge: int, links: tuple[Connection, ...]) -> Way:
    ends = [end for link in links for end in (link.source, link.sink)]
    subdevices = {
        entity: node for entity, node in graph.nodes.items() if not node.startswith("/dev/video")
    }
    return Way(
        media=media,
        receiver=graph.nodes[bridge],
        capture=graph.nodes[links[-1].sink.entity],
        to_enable=tuple(link for link in links if not link.enabled),
        pads=tuple((subdevices[pad.entity], pad.index) for pad in ends if pad.entity in subdevices),
    )


def find_way(kernel: Kernel, capture: str, root: Path = Path("/")) -> Way | None:
    """The way that ends in a capture node, looked for in every media device."""
    for node in sorted((root / "dev").glob("media*")):
        path = f"/dev/{node.name}"
        try:
            fd = kernel.open(path)
        except OSError:
            continue
        try:
            way = plan(read_graph(kernel, fd, root), path)
        except OSError:
            way = None
        finally:
            kernel.close(fd)
        if way is not None and way.capture == capture:
            return way
    return None


def open_way(kernel: Kernel, way: Way) -> None:
    """Switch on the links of a way."""
    fd = kernel.open(way.media)
    try:
        for link in way.to_enable:
            enable_link(kernel, fd, link)
    finally:
        kernel.close(fd)


def set_pads(kernel: Kernel, way: Way, columns: int, rows: int) -> None:
    """Say the same format on every pad along a way."""
    for node, pad in way.pads:
        fd = kernel.open(node)
        try:
            asked = ms.SubdevFormat(which=ACTIVE, pad=pad)
            asked.format.width, asked.format.height = columns, rows
            asked.format.code, asked.format.field = UYVY8_1X16, FIELD_NONE
            asked.format.colorspace = SMPTE170M
            kernel.ioctl(fd, SUBDEV_S_FMT, asked)
        finally:
            kernel.close(fd)
