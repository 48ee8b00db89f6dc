from dataclasses import replace

from firmware.instruments.pins.instrument import MOST_OF_CELL, Asked
from firmware.instruments.registry import REGISTRY
from firmware.journal.composing import mark_of
from firmware.journal.found_again import by_seal
from firmware.journal.in_view import counting_of, scene_of
from firmware.journal.verify import counted, wrong_numbers
from overlays.measure.counting.census import Wants
from tests.marked import SMALL, in_view


def test_the_scene_of_a_mark_reads_as_the_frame_did():
    seen = in_view(SMALL, "pins")
    line = REGISTRY.of_command("pins")
    scene, kept = scene_of(seen, line, counting_of(seen, line))
    assert kept.inputs.counts.pixels == 640 * 360
    assert scene.frame.time_ns == seen.frame.time_ns
    assert (
        scene.read(seen.place).stops
        == REGISTRY.of_command("read").instrument.measure(scene, None, None).spots[0].stops
    )


def test_r_g_and_b_are_counted_where_numbers_are_made_of_them():
    seen = in_view(SMALL, "advice")
    counting = counting_of(seen, REGISTRY.of_command("expose"))
    assert Wants.RGB in counting.whole().has(Wants.RGB)


def evenness(feed):
    seen = in_view(feed, "pins")
    instrument = REGISTRY.in_view(seen.view)
    line = REGISTRY.of_command("pins")
    settings = replace(seen.settings, asked=Asked.EVENNESS)
    scene, _ = scene_of(seen, line, counting_of(seen, line))
    scene = replace(scene, frame=seen.frame)
    answer = instrument.measure(scene, settings, None)
    return answer, mark_of(replace(seen, settings=settings, answer=answer))


def test_how_even_an_area_is_rests_on_the_middle_of_each_cell_whose_codes_are_kept():
    answer, row = evenness(SMALL)
    told = row.body["answer"]["evenness"]
    assert told["of_each_cell"] == MOST_OF_CELL
    assert abs(told["within_stops"] - answer.evenness.even.within_stops) < 0.3
    assert (list(wrong_numbers(row)), counted(row)[1], by_seal(row)) == ([], 0, ())
    assert f"{MOST_OF_CELL} px of each cell" in row.head["words"]


def test_a_number_of_evenness_that_is_altered_is_found():
    _, row = evenness(SMALL)
    even = row.body["answer"]["evenness"]
    cells = [list(each) for each in even["map_stops"]]
    cells[0][0] += 1e-6
    for changed in ({"within_stops": even["within_stops"] + 1e-6}, {"map_stops": cells}):
        answer = {**row.body["answer"], "evenness": {**even, **changed}}
        (fault,) = wrong_numbers(replace(row, body={**row.body, "answer": answer}))
        assert fault.startswith("pins.evenness.")
