"""What a person reads of a balance in the terminal."""

from tests.asking import printed

BENCH = "bench:size=960x540,signal=yuv444-10"


def test_a_person_reads_the_advice():
    text = printed("balance", feed=f"{BENCH},kelvin=3200,dial=5600", dial="5600", at="0.5,0.5,40")
    lines = text.splitlines()
    assert "card at 480,270,40" in lines[0]
    assert any(line.startswith("Dial 3200 K (now 5600 K)") for line in lines)
    assert any(line.startswith("Or put full CTB on the light") for line in lines)
    assert "Shown as a light of" in text
    assert "The light itself: 32" in text


def test_numbers_have_their_doubt_as_on_the_screen():
    text = printed("balance", feed=f"{BENCH},kelvin=5600,dial=5600", dial="5600")
    (first,) = [line for line in text.splitlines() if line.startswith("Red ")]
    assert first.count("±") == 4
    assert "−" not in text  # a terminal's minus is a hyphen
    assert "In tolerance: leave the balance as it is." in text


def test_a_refusal_is_said_once_and_leaves_no_number():
    text = printed("balance", feed=f"{BENCH},exposure=5")
    assert text.count("he card is clipped in") == 1
    assert "Shown as" not in text
    assert "Note: 100 % of the spot is clipped" in text


def test_what_makes_it_less_certain_comes_last():
    text = printed("balance", feed=f"{BENCH},kelvin=3200,dial=5600", gamut="V-Gamut")
    last = text.splitlines()[-2:]
    assert "a neutral grey or white card: cream paper reads" in last[0]
    assert last[1].startswith("Note: the feed says its gamut is BT.709")
    assert text.count("hat to dial is not known") == 1
