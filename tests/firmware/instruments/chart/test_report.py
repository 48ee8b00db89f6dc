"""The chart view: found, or a sentence why not."""

from firmware.instruments.chart.answer import ChartAnswer
from firmware.instruments.chart.instrument import Chart, ChartView
from firmware.instruments.chart.report import chart_report
from overlays.draw.moment.report import Tone
from overlays.errors import ChartPlaceError, SpotOutsideError

CHART = Chart()


def test_a_chart_that_was_found(scene):
    answer = CHART.measure(scene(), ChartView(), CHART.memory())
    report = chart_report(answer)
    assert report.heading == "bench chart"
    assert report.main == f"{answer.reading.mean_de00:.1f}"
    assert report.beside == "mean ΔE00"
    assert report.tone is Tone.QUIET
    worst, light, tones, *greys = report.rows
    assert worst.value.startswith(answer.reading.worst.name)
    assert light.value.startswith(f"{answer.reading.evenness.fall_stops:.2f} ±")
    assert tones.value == f"{answer.reading.evenness.tones_stops:.2f}"
    assert answer.reading.evenness.fall_stops <= 0.02
    assert [grey.label for grey in greys] == [
        f"{answer.reading.patches[n].name}, st" for n in answer.reading.neutrals
    ]


def test_a_clipped_grey_says_so_in_its_row_and_in_a_note(scene):
    report = chart_report(
        CHART.measure(scene(",exposure=0.7"), ChartView(), CHART.memory()),
    )
    assert [row.value for row in report.rows if row.label == "N9.5, st"] == ["clipped"]
    assert any("clipped" in note and "N9.5" in note for note in report.warnings)


def test_no_chart_is_alarming_and_another_fault_is_not(scene):
    origin = scene().origin
    for fault, tone in (
        (ChartPlaceError("the corners are wrong"), Tone.ALARM),
        (SpotOutsideError("a patch lies outside"), Tone.PLAIN),
    ):
        report = chart_report(ChartAnswer(origin, None, fault=fault))
        assert report.words == str(fault)
        assert report.tone is tone
        assert report.main == "– –"
        assert report.rows == ()
