"""What a person reads of pins in the terminal."""

from tests.asking import asked, printed

FEED = "bench:size=640x360,cloud=0,signal=yuv422-10,curve=V-Log"
PLACES = ("390,156,20", "320,180,20", "390,204,20")


def test_a_line_a_pin_and_a_line_a_ratio():
    lines = printed("pins", feed=FEED, at=PLACES).splitlines()
    assert [line.split(":")[0] for line in lines[1:7]] == [
        "Pin 1 at 390,156",
        "Pin 2 at 320,180",
        "Pin 3 at 390,204",
        "1 to 2",
        "1 to 3",
        "2 to 3",
    ]
    assert all("±" in line for line in lines[1:7])


def test_each_cell_of_the_area_has_its_sign_and_two_decimals():
    lines = printed("pins", feed=FEED, even="320,180,60,60").splitlines()
    (start,) = [n for n, line in enumerate(lines) if "each cell against the mean" in line]
    rows = [line.split() for line in lines[start + 1 : start + 13]]
    found = asked("pins", feed=FEED, even="320,180,60,60")["evenness"]["map_stops"]
    assert [[float(cell) for cell in row] for row in rows] == [
        [round(cell, 2) for cell in row] for row in found
    ]


def test_a_pin_without_light_is_said_to_have_none():
    text = printed("pins", feed=f"{FEED},exposure=-12", at=PLACES)
    assert "1 to 3: unknown, no light" in text
    assert "Pin 3 at 390,204: no light" in text
    assert "Note: pin 3: no light" in text


def test_a_terminals_minus_is_a_hyphen():
    text = printed("pins", feed=FEED, at=PLACES[::-1])
    assert "1 to 2: -" in text
    assert "−" not in text


def test_what_rounds_to_nothing_has_no_sign():
    lines = printed("pins", feed=FEED, even="320,180,60,60").splitlines()
    assert any("0.00" in line.split() for line in lines)
    assert not any({"-0.00", "+0.00"} & set(line.split()) for line in lines)
