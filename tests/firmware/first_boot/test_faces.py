"""What the screen shows: in the framebuffer, else words on the console; never a reason to stop."""

import ctypes

import pytest

from firmware.first_boot.faces import PICTURES, FacePanel, StepFace, find_panel
from firmware.screen import fbdev


class Node:
    """A framebuffer of 96x54 pixels of 32 bits."""

    def __init__(self, *, broken=False):
        self.memory = bytearray(96 * 54 * 4)
        self.broken, self.drawn = broken, 0

    def ask(self, request, answer):
        if self.broken:
            raise OSError(5, "broken")
        if request == fbdev.GET_VARIABLE:
            answer.xres, answer.yres, answer.bits_per_pixel = 96, 54, 32
            for field, offset in ((answer.red, 16), (answer.green, 8), (answer.blue, 0)):
                field.offset, field.length = offset, 8
        elif request == fbdev.GET_FIXED:
            answer.smem_len, answer.line_length = 96 * 54 * 4, 96 * 4
            answer.visual = fbdev.TRUE_COLOUR

    def map(self, _length):
        self.drawn += 1
        return self.memory

    def close(self):
        pass


@pytest.mark.parametrize("face", StepFace)
def test_every_face_has_its_picture_and_words(face):
    assert (PICTURES / f"{face.value[0]}.png").exists()
    assert len(face.words) == 3


def test_it_is_drawn_with_light_words_on_dark(tmp_path):
    node = Node()
    FacePanel(node, tmp_path / "tty").show(StepFace.PACKAGES)
    shades = node.memory[::4]
    assert shades[0] < 32
    assert sum(shade > 128 for shade in shades) > 50
    assert not (tmp_path / "tty").exists()


def test_a_bar_is_drawn_again_only_when_it_has_moved(tmp_path):
    node = Node()
    panel = FacePanel(node, tmp_path / "tty")
    for done in (0.0, 0.001, 0.002, 0.5, 0.501):
        panel.show(StepFace.PACKAGES, done)
    assert node.drawn == 2
    panel.show(StepFace.DATA)
    panel.show(StepFace.DATA)
    assert node.drawn == 4


@pytest.mark.parametrize("node", [None, Node(broken=True)])
def test_without_a_framebuffer_the_words_go_to_the_console(tmp_path, node):
    FacePanel(node, tmp_path / "tty").show(StepFace.FAILED)
    text = (tmp_path / "tty").read_text()
    for words in StepFace.FAILED.words:
        assert words in text


def test_without_anything_it_goes_on(tmp_path):
    FacePanel(None, tmp_path / "no" / "tty").show(StepFace.DATA)
    FacePanel(None, tmp_path / "no" / "tty").show(StepFace.PACKAGES, 0.3)


def test_the_panel_that_is_named_is_looked_for(tmp_path):
    assert find_panel({}, tmp_path).node is None
    (tmp_path / "dev").mkdir()
    (tmp_path / "dev/fb1").touch()
    found = find_panel({"MIDGREY_FRAMEBUFFER": "/dev/fb1", "MIDGREY_ROTATE": "180"}, tmp_path)
    assert found.node is not None
    assert found.turned == 180
    found.node.close()
    assert find_panel({"MIDGREY_ROTATE": "sideways"}, tmp_path).turned == 0
    assert ctypes.sizeof(fbdev.Variable) == 160


def test_a_face_is_drawn_whole_since_others_may_have_drawn_and_of_a_bar_what_has_moved(tmp_path):
    node = Node()
    panel = FacePanel(node, tmp_path / "tty")
    panel.show(StepFace.DATA)
    whole = bytes(node.memory)
    node.memory[:] = bytes(len(whole))
    panel.show(StepFace.DATA)
    is_whole = bytes(node.memory) == whole  # a failing comparison would be explained for minutes
    assert is_whole
    panel.show(StepFace.PACKAGES, 0.1)
    node.memory[:] = bytes(len(whole))
    panel.show(StepFace.PACKAGES, 0.9)
    rows = [any(node.memory[at : at + 96 * 4]) for at in range(0, len(whole), 96 * 4)]
    assert 0 < sum(rows) < len(rows) // 4
