"""Decisions against graphs as boards show them.

`pi5` follows the listing in pikvm/ustreamer issue 335 (kernel 6.12.75, `media-ctl -p`), `pi4` the
one in raspberrypi/rpicam-apps issue 561 (kernel 6.1, with a sensor in the bridge's place).
"""

from dataclasses import replace

import pytest

from firmware.v4l2 import media_structs as ms
from firmware.v4l2.graph import SETUP_LINK, SUBDEV_S_FMT, Connection, Graph, Pad
from firmware.v4l2.media import open_way, plan, set_pads

CSI2, FRONT, BRIDGE, CH0, CH2, IMAGE0 = 1, 10, 16, 18, 26, 34


def pi5(bridge="tc358743 10-000f"):
    links = [Connection(Pad(BRIDGE, 0), Pad(CSI2, 0), enabled=True, immutable=True)]
    for pad, node in ((4, CH0), (6, CH2)):
        links.append(Connection(Pad(CSI2, pad), Pad(FRONT, 0), enabled=False, immutable=False))
        links.append(Connection(Pad(CSI2, pad), Pad(node, 0), enabled=False, immutable=False))
    links.append(Connection(Pad(FRONT, 2), Pad(IMAGE0, 0), enabled=False, immutable=False))
    return Graph(
        names={
            CSI2: "csi2",
            FRONT: "pisp-fe",
            BRIDGE: bridge,
            CH0: "rp1-cfe-csi2_ch0",
            CH2: "rp1-cfe-csi2_ch2",
            IMAGE0: "rp1-cfe-fe_image0",
        },
        nodes={
            CSI2: "/dev/v4l-subdev0",
            FRONT: "/dev/v4l-subdev1",
            BRIDGE: "/dev/v4l-subdev2",
            CH0: "/dev/video0",
            CH2: "/dev/video2",
            IMAGE0: "/dev/video4",
        },
        pads={CSI2: 8, FRONT: 5, BRIDGE: 1, CH0: 1, CH2: 1, IMAGE0: 1},
        links=tuple(links),
    )


def pi4(name="tc358743 0-000f"):
    return Graph(
        names={1: name, 3: "unicam-image"},
        nodes={1: "/dev/v4l-subdev0", 3: "/dev/video0"},
        pads={1: 1, 3: 1},
        links=(Connection(Pad(1, 0), Pad(3, 0), enabled=True, immutable=True),),
    )


@pytest.mark.parametrize("name", ["tc358743 4-000f", "tc358743 10-000f", "tc358743 11-000f"])
def test_bridge_is_found_whatever_its_address(name):
    way = plan(pi5(name), "/dev/media0")
    assert (way.media, way.receiver, way.capture) == (
        "/dev/media0",
        "/dev/v4l-subdev2",
        "/dev/video0",
    )


def test_way_leads_to_memory_and_not_through_the_image_processor():
    way = plan(pi5(), "/dev/media0")
    assert way.to_enable == (Connection(Pad(CSI2, 4), Pad(CH0, 0), enabled=False, immutable=False),)


def test_every_pad_on_the_way_gets_the_format_in_order():
    # The order of issue 7523: bridge 0, receiver 0, receiver 4.
    way = plan(pi5(), "/dev/media0")
    assert way.pads == (("/dev/v4l-subdev2", 0), ("/dev/v4l-subdev0", 0), ("/dev/v4l-subdev0", 4))


def test_link_that_is_on_is_left_alone():
    graph = pi5()
    on = tuple(
        replace(link, enabled=True) if link.sink == Pad(CH0, 0) else link for link in graph.links
    )
    assert plan(replace(graph, links=on), "/dev/media0").to_enable == ()


def test_pi_4_needs_only_its_formats():
    way = plan(pi4(), "/dev/media0")
    assert (way.receiver, way.capture) == ("/dev/v4l-subdev0", "/dev/video0")
    assert way.to_enable == ()
    assert way.pads == (("/dev/v4l-subdev0", 0),)


def test_a_camera_is_no_bridge():
    assert plan(pi4("ov5647 10-0036"), "/dev/media0") is None
    assert plan(pi5("imx708"), "/dev/media0") is None


def test_a_bridge_that_leads_nowhere_is_no_way():
    assert plan(replace(pi5(), links=()), "/dev/media0") is None


class Notebook:
    """Writes down what is asked of which node."""

    def __init__(self):
        self.open_nodes, self.asked, self.closed = {}, [], 0

    def open(self, path):
        self.open_nodes[len(self.open_nodes) + 1] = path
        return len(self.open_nodes)

    def close(self, _fd):
        self.closed += 1

    def ioctl(self, fd, request, argument):
        kind = type(argument)
        self.asked.append((self.open_nodes[fd], request, kind.from_buffer_copy(argument)))


def test_opening_the_way_switches_its_link_on():
    notebook = Notebook()
    open_way(notebook, plan(pi5(), "/dev/media0"))
    ((node, request, link),) = notebook.asked
    assert (node, request) == ("/dev/media0", SETUP_LINK)
    assert isinstance(link, ms.MediaLinkDescription)
    assert (link.source.entity, link.source.index, link.sink.entity) == (CSI2, 4, CH0)
    assert link.flags == 1
    assert notebook.closed == 1


def test_pads_say_size_progressive_and_colour_space():
    notebook = Notebook()
    set_pads(notebook, plan(pi5(), "/dev/media0"), 1920, 1080)
    assert [(node, asked.pad) for node, _, asked in notebook.asked] == [
        ("/dev/v4l-subdev2", 0),
        ("/dev/v4l-subdev0", 0),
        ("/dev/v4l-subdev0", 4),
    ]
    for _, request, asked in notebook.asked:
        form = asked.format
        assert request == SUBDEV_S_FMT
        assert (form.width, form.height, form.code) == (1920, 1080, 0x200F)
        assert (form.field, form.colorspace) == (1, 1)
    assert notebook.closed == 3
