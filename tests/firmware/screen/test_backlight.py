import pytest

from firmware.screen.backlight import UNKNOWN, find_backlight, panel_light


def panel(folder, most="255\n", now="100\n"):
    place = folder / "panel0"
    place.mkdir(parents=True)
    (place / "max_brightness").write_text(most)
    (place / "brightness").write_text(now)
    return place


def test_light_moves_in_steps_and_says_how_it_stands(tmp_path):
    place = panel(tmp_path)
    light = find_backlight(tmp_path)
    assert light.words == "panel light 39 %"
    assert light.moved(1) == "panel light 44 %"
    assert place.joinpath("brightness").read_text().strip() == "113"


def test_light_never_goes_out_and_never_beyond_its_most(tmp_path):
    panel(tmp_path, most="31", now="3")
    light = find_backlight(tmp_path)
    for _ in range(30):
        light.moved(-1)
    assert light.now == 2
    for _ in range(60):
        light.moved(1)
    assert light.now == 31
    assert light.words == "panel light 100 %"


@pytest.mark.parametrize("most", ["", "0", "-5", "9" * 12, "12.5", "none", "\x00\xff"])
def test_what_is_no_light_is_not_taken_for_one(tmp_path, most):
    panel(tmp_path, most=most)
    assert find_backlight(tmp_path) is None


def test_without_the_kernels_folder_there_is_none(tmp_path):
    assert find_backlight(tmp_path / "absent") is None


def test_a_number_that_cannot_be_is_said_and_left_alone(tmp_path):
    place = panel(tmp_path, most="31", now="400")
    assert find_backlight(tmp_path).moved(1) == UNKNOWN
    assert place.joinpath("brightness").read_text() == "400"


def test_a_panel_that_refuses_is_said_in_one_sentence(tmp_path):
    place = panel(tmp_path)
    light = find_backlight(tmp_path)
    (place / "brightness").unlink()
    (place / "brightness").mkdir()
    assert "set it on the panel itself" in light.moved(1)


def test_the_light_of_the_machine_moves_or_says_why_not(tmp_path):
    assert panel_light(1, tmp_path) == UNKNOWN
    panel(tmp_path, most="100", now="50")
    assert panel_light(0, tmp_path) == "panel light 50 %"
    assert panel_light(-2, tmp_path) == "panel light 40 %"
