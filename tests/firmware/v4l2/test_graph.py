import ctypes

import pytest

from firmware.v4l2 import graph
from firmware.v4l2 import media_structs as ms
from firmware.v4l2.graph import Connection, Pad, node_path, read_graph


def test_request_numbers_are_the_kernels():
    # Printed by gcc for x86-64 from linux/media.h and linux/v4l2-subdev.h.
    assert graph.G_TOPOLOGY == 0xC0487C04
    assert graph.SETUP_LINK == 0xC0347C03
    assert graph.SUBDEV_S_FMT == 0xC0585605


class Topology:
    """A media device with a bridge (one pad) linked to a video node."""

    entities = ((1, b"tc358743 10-000f"), (2, b"rp1-cfe-csi2_ch0"))
    interfaces = ((100, 81, 5), (101, 81, 0))
    pads = ((11, 1, 0, graph.PAD_SOURCE), (21, 2, 0, 1))
    links = ((200, 11, 21, 3), (201, 100, 1, 1 << 28), (202, 101, 2, 1 << 28))

    def ioctl(self, _fd, request, argument):
        assert request == graph.G_TOPOLOGY
        argument.num_entities, argument.num_interfaces = 2, 2
        argument.num_pads, argument.num_links = 2, 3
        if not argument.ptr_entities:
            return
        entities = (ms.MediaEntity * 2).from_address(argument.ptr_entities)
        for slot, (number, name) in zip(entities, self.entities, strict=True):
            slot.id, slot.name = number, name
        interfaces = (ms.MediaInterface * 2).from_address(argument.ptr_interfaces)
        for slot, (number, major, minor) in zip(interfaces, self.interfaces, strict=True):
            slot.id, slot.major, slot.minor = number, major, minor
        pads = (ms.MediaPad * 2).from_address(argument.ptr_pads)
        for slot, (number, entity, index, flags) in zip(pads, self.pads, strict=True):
            slot.id, slot.entity_id, slot.index, slot.flags = number, entity, index, flags
        links = (ms.MediaLink * 3).from_address(argument.ptr_links)
        for slot, (number, source, sink, flags) in zip(links, self.links, strict=True):
            slot.id, slot.source_id, slot.sink_id, slot.flags = number, source, sink, flags


@pytest.fixture
def root(tmp_path):
    for number, name in (("81:5", "v4l-subdev2"), ("81:0", "video0")):
        folder = tmp_path / "sys/dev/char" / number
        folder.mkdir(parents=True)
        (folder / "uevent").write_text(f"MAJOR=81\nDEVNAME={name}\n")
    return tmp_path


def test_graph_is_read_with_names_nodes_and_links(root):
    got = read_graph(Topology(), 3, root)
    assert got.names == {1: "tc358743 10-000f", 2: "rp1-cfe-csi2_ch0"}
    assert got.nodes == {1: "/dev/v4l-subdev2", 2: "/dev/video0"}
    assert got.pads == {1: 1, 2: 1}
    assert got.links == (Connection(Pad(1, 0), Pad(2, 0), enabled=True, immutable=True),)


def test_node_that_sysfs_does_not_know_has_no_path(root):
    assert node_path(81, 5, root) == "/dev/v4l-subdev2"
    assert node_path(81, 77, root) == ""
    assert ctypes.sizeof(ms.MediaPad) == 32
