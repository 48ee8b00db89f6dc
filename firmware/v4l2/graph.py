"""A media graph as plain values, and reading one from the kernel.

A board with separate drivers for bridge, receiver and memory writer shows them as entities with
pads and links (kernel documentation, "Part IV - Media Controller API").
"""

import ctypes
from dataclasses import dataclass
from pathlib import Path

from firmware.v4l2 import media_structs as ms
from firmware.v4l2.ioctls import READ, WRITE, request
from firmware.v4l2.kernel import Kernel

G_TOPOLOGY = request("|", READ | WRITE, 4, ms.MediaTopology)
SETUP_LINK = request("|", READ | WRITE, 3, ms.MediaLinkDescription)
SUBDEV_S_FMT = request("V", READ | WRITE, 5, ms.SubdevFormat)

PAD_SOURCE = 1 << 1
"""MEDIA_PAD_FL_SOURCE"""
LINK_ENABLED = 1
"""MEDIA_LNK_FL_ENABLED"""
LINK_IMMUTABLE = 2
"""MEDIA_LNK_FL_IMMUTABLE"""
LINK_KIND = 0xF << 28
"""MEDIA_LNK_FL_LINK_TYPE; 0 is a data link, 1 << 28 one from an interface to its entity."""
INTERFACE_LINK = 1 << 28


@dataclass(frozen=True, slots=True)
class Pad:
    """Where a link ends: an entity's number and the pad's index in it."""

    entity: int
    index: int


@dataclass(frozen=True, slots=True)
class Connection:
    """A data link from a source pad to a sink pad."""

    source: Pad
    sink: Pad
    enabled: bool
    immutable: bool


@dataclass(frozen=True, slots=True)
class Graph:
    """One media device.

    Attributes
    ----------
    names:
        Entities by number.
    nodes:
        Device nodes of those that have one (``/dev/video0``, ``/dev/v4l-subdev2``).
    pads:
        How many each entity has.
    links:
        Data links.
    """

    names: dict[int, str]
    nodes: dict[int, str]
    pads: dict[int, int]
    links: tuple[Connection, ...]


def read_graph(kernel: Kernel, fd: int, root: Path = Path("/")) -> Graph:
    """The graph of an opened media device; `root` is the file system to find node names in."""
    counts = ms.MediaTopology()
    kernel.ioctl(fd, G_TOPOLOGY, counts)
    entities = (ms.MediaEntity * counts.num_entities)()
    interfaces = (ms.MediaInterface * counts.num_interfaces)()
    pads = (ms.MediaPad * counts.num_pads)()
    links = (ms.MediaLink * counts.num_links)()
    full = ms.MediaTopology(
        num_entities=len(entities),
        num_interfaces=len(interfaces),
        num_pads=len(pads),
        num_links=len(links),
        ptr_entities=ctypes.addressof(entities),
        ptr_interfaces=ctypes.addressof(interfaces),
        ptr_pads=ctypes.addressof(pads),
        ptr_links=ctypes.addressof(links),
    )
    kernel.ioctl(fd, G_TOPOLOGY, full)
    places = {pad.id: Pad(pad.entity_id, pad.index) for pad in pads}
    paths = {each.id: node_path(each.major, each.minor, root) for each in interfaces}
    nodes = {
        link.sink_id: paths[link.source_id]
        for link in links
        if link.flags & LINK_KIND == INTERFACE_LINK and paths.get(link.source_id)
    }
    found = tuple(
        Connection(
            places[link.source_id],
            places[link.sink_id],
            bool(link.flags & LINK_ENABLED),
            bool(link.flags & LINK_IMMUTABLE),
        )
        for link in links
        if link.flags & LINK_KIND == 0
    )
    numbers = [pad.entity_id for pad in pads]
    return Graph(
        names={each.id: each.name.decode("ascii", "replace") for each in entities},
        nodes=nodes,
        pads={number: numbers.count(number) for number in set(numbers)},
        links=found,
    )


def node_path(major: int, minor: int, root: Path) -> str:
    """The device node of a number, from sysfs; "" where there is none."""
    try:
        lines = (root / f"sys/dev/char/{major}:{minor}/uevent").read_text().splitlines()
    except OSError:
        return ""
    names = [line.partition("=")[2] for line in lines if line.startswith("DEVNAME=")]
    return f"/dev/{names[0]}" if names else ""


def enable_link(kernel: Kernel, fd: int, link: Connection) -> None:
    """Switch a link on (MEDIA_IOC_SETUP_LINK)."""
    asked = ms.MediaLinkDescription(flags=LINK_ENABLED)
    asked.source.entity, asked.source.index = link.source.entity, link.source.index
    asked.sink.entity, asked.sink.index = link.sink.entity, link.sink.index
    kernel.ioctl(fd, SETUP_LINK, asked)
