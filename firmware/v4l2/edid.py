"""The EDID an HDMI bridge shows to a camera: what it may send, and that it speaks to an HDMI sink.

Without one a bridge keeps its hot-plug line low and the camera sends nothing; without the HDMI
vendor block a camera takes it for a DVI screen, sends no InfoFrames, and its levels are misread
(raspberrypi/linux, drivers/media/i2c/tc358743.c).

Layout: VESA E-EDID Standard Release A, 1.3 (block 0) and CTA-861-G (block 1); figures of the modes
as in CTA-861-G Table 1, also in the kernel's `include/uapi/linux/v4l2-dv-timings.h`.
`edid-decode` of Debian judges the result in the tests.
"""

import sys
from dataclasses import dataclass

BLOCK = 128
MAKER = "MGY"
"""Not known to be assigned to anybody; a maker of boards has to ask for one of his own."""
NAME = "midgrey"
SIZE_MM = (178, 100)
"""Of an eight-inch 16:9 panel; only its shape matters to a source."""


@dataclass(frozen=True, slots=True)
class Mode:
    """One progressive mode.

    Attributes
    ----------
    vic:
        Its number in CTA-861.
    columns, rows, rate:
        Active pixels, and frames a second.
    clock_khz:
        Pixel clock.
    across, down:
        (front porch, sync, back porch) in pixels and in lines.
    """

    vic: int
    columns: int
    rows: int
    rate: int
    clock_khz: int
    across: tuple[int, int, int]
    down: tuple[int, int, int] = (4, 5, 36)


MODES = (
    Mode(33, 1920, 1080, 25, 74_250, (528, 44, 148)),
    Mode(32, 1920, 1080, 24, 74_250, (638, 44, 148)),
    Mode(34, 1920, 1080, 30, 74_250, (88, 44, 148)),
    Mode(31, 1920, 1080, 50, 148_500, (528, 44, 148)),
    Mode(16, 1920, 1080, 60, 148_500, (88, 44, 148)),
    Mode(19, 1280, 720, 50, 74_250, (440, 40, 220), (5, 5, 20)),
    Mode(4, 1280, 720, 60, 74_250, (110, 40, 220), (5, 5, 20)),
)
"""The first is the preferred one: any board takes it, on one lane."""

LANE_BITS = 972_000_000
"""Bits a second on one CSI-2 lane at the usual link frequency of 486 MHz (both edges)."""


def modes_for(lanes: int) -> tuple[Mode, ...]:
    """Modes whose 16 bits a pixel (UYVY) fit on so many lanes, as the bridge's driver reckons."""
    room = lanes * LANE_BITS
    return tuple(mode for mode in MODES if mode.columns * mode.rows * mode.rate * 16 <= room)


def field_monitor_edid(lanes: int = 2) -> bytes:
    """256 bytes of EDID for a bridge with 1 to 4 lanes.

    Raises
    ------
    ValueError
        The number of lanes is impossible.
    """
    if not 1 <= lanes <= 4:
        raise ValueError(f"{lanes} CSI-2 lanes; a bridge has 1 to 4")
    modes = modes_for(lanes)
    return _summed(_base(modes)) + _summed(_extension(modes))


def _summed(block: bytes) -> bytes:
    """The block with its last byte such that all 128 add up to 0 modulo 256."""
    return block + bytes([-sum(block) % 256])


def _maker_bytes(letters: str) -> bytes:
    """Three letters of five bits each, A = 1 (E-EDID 3.4.1)."""
    first, second, third = (ord(letter) - 64 for letter in letters)
    return (first << 10 | second << 5 | third).to_bytes(2, "big")


# ITU-R BT.709-6 item 1.4: primaries and D65, as x, y.
_PRIMARIES = ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060), (0.3127, 0.3290))


def _chromaticity_bytes() -> bytes:
    """Ten bits each: low bits of R and G, of B and W, then the high eight (E-EDID 3.7)."""
    values = [round(value * 1024) for point in _PRIMARIES for value in point]
    low = [value & 3 for value in values]
    first = low[0] << 6 | low[1] << 4 | low[2] << 2 | low[3]
    second = low[4] << 6 | low[5] << 4 | low[6] << 2 | low[7]
    return bytes([first, second, *(value >> 2 for value in values)])


def _detailed(mode: Mode) -> bytes:
    """18 bytes of a detailed timing (E-EDID 3.10.2); both syncs positive."""
    h_blank, v_blank = sum(mode.across), sum(mode.down)
    h_front, h_sync, _ = mode.across
    v_front, v_sync, _ = mode.down
    width, height = SIZE_MM
    clock = (mode.clock_khz // 10).to_bytes(2, "little")
    return clock + bytes(
        [
            mode.columns & 255,
            h_blank & 255,
            mode.columns >> 8 << 4 | h_blank >> 8,
            mode.rows & 255,
            v_blank & 255,
            mode.rows >> 8 << 4 | v_blank >> 8,
            h_front & 255,
            h_sync & 255,
            (v_front & 15) << 4 | v_sync & 15,
            h_front >> 8 << 6 | h_sync >> 8 << 4 | v_front >> 4 << 2 | v_sync >> 4,
            width & 255,
            height & 255,
            width >> 8 << 4 | height >> 8,
            0,
            0,
            0x1E,
        ]
    )


def _named(name: str) -> bytes:
    """The monitor name descriptor (E-EDID 3.10.3.4), ended by a line feed, filled with blanks."""
    return bytes([0, 0, 0, 0xFC, 0]) + (name + "\n").ljust(13).encode("ascii")


def _limits(modes: tuple[Mode, ...]) -> bytes:
    """The range limits descriptor (E-EDID 3.10.3.3), without a secondary formula."""
    lines = [mode.clock_khz / (mode.columns + sum(mode.across)) for mode in modes]
    lines.append(25_175 / 800)  # 640x480 at 60 Hz, which every sink takes
    fastest = max(mode.clock_khz for mode in modes)
    rates = [mode.rate for mode in modes] + [60]
    # 1000/1001 of a rate is a fraction below it.
    limits = [min(rates) - 1, max(rates), int(min(lines)) - 1, int(max(lines)) + 1]
    head = bytes([0, 0, 0, 0xFD, 0, *limits, -(-fastest // 10_000), 0, 0x0A])
    return head + b" " * 6


def _base(modes: tuple[Mode, ...]) -> bytes:
    """127 bytes of block 0."""
    width, height = SIZE_MM
    return b"".join(
        (
            b"\x00\xff\xff\xff\xff\xff\xff\x00",
            _maker_bytes(MAKER),
            (1).to_bytes(2, "little"),  # product
            bytes(4),  # no serial number
            bytes([0, 2026 - 1990]),  # week unknown, year of the design
            bytes([1, 3]),  # EDID 1.3
            bytes([0x80, -(-width // 10), height // 10, 120, 0x0E]),  # gamma 2.2, BT.709
            _chromaticity_bytes(),
            bytes([0x20, 0, 0]),  # established: 640x480 at 60 Hz
            b"\x01\x01" * 8,  # no standard timings
            _detailed(modes[0]),
            _detailed(modes[-1]),
            _named(NAME),
            _limits(modes),
            bytes([1]),  # one more block
        )
    )


def _extension(modes: tuple[Mode, ...]) -> bytes:
    """127 bytes of block 1: the modes, and that this is an HDMI sink."""
    video = bytes([0x40 | len(modes), *(mode.vic for mode in modes)])
    # HDMI 1.4 8.3.2: vendor block 00-0C-03, address 1.0.0.0, no deep colour, TMDS up to 165 MHz.
    hdmi = bytes([0x60 | 7, 0x03, 0x0C, 0x00, 0x10, 0x00, 0x00, 165 // 5])
    # CTA-861-G 7.5.6: the picture is shown whole; a source says in its InfoFrame which range its
    # R'G'B' has. Y'CbCr stays limited: a full range would have to be asked for here.
    capability = bytes([0xE0 | 2, 0x00, 0x4A])
    blocks = video + capability + hdmi
    # Tag 2, revision 3; shown whole, Y'CbCr 4:4:4 and 4:2:2 are taken, no audio, one native timing.
    head = bytes([0x02, 0x03, 4 + len(blocks), 0xB1])
    body = head + blocks
    return body + bytes(BLOCK - 1 - len(body))


def main() -> None:
    """Write the EDID for the number of lanes given (2 if none) to standard output."""
    lanes = int(sys.argv[1]) if len(sys.argv) > 1 else 2
    sys.stdout.buffer.write(field_monitor_edid(lanes))


if __name__ == "__main__":
    main()
