"""What the views of colour say, frame by frame. Belongs to the measuring thread."""

from firmware.charting import read_any
from firmware.clock import Clock
from firmware.remembered import Remembered, is_shown
from firmware.reported import Scene, Wishes
from overlays.draw.moment.more import ChartShown, ChromaShown, Ghost, More, Report, Row, Tone
from overlays.draw.moment.shown import Face
from overlays.draw.wording import UNKNOWN, pm_text, signed, stops_text
from overlays.errors import ChartError, OverlayError
from overlays.measure.balance.balance import BalanceReading, BalanceSettings, read_balance
from overlays.measure.balance.balance_advice import advice, dial_words, tint_words
from overlays.measure.chart.chart import ChartReading, Scaling, read_chart
from overlays.measure.chart.find import find_chart
from overlays.measure.chart.place import Corners, in_order
from overlays.measure.chart.reference import BUILT_IN
from overlays.signal.gamuts import default_gamut

CHART_EVERY_NS = 1_000_000_000
"""A chart is looked for once a second: it takes longer than anything else that is measured."""
START = 0.2
"""Where corners start from when none were ever found: this far inside the picture."""


class ColourReporter:
    """Makes the reports of balance and chart, of live frames or of a held one."""

    def __init__(self, clock: Clock, kept: Remembered | None = None, of: Face = Face.LIVE) -> None:
        self._clock, self._of = clock, of
        self._kept = kept or Remembered()
        self._read: tuple[tuple[object, ...], int, More] | None = None

    def balance(self, scene: Scene, wishes: Wishes) -> More:
        """The balance of the spot, and the chroma trace beside it."""
        colour, settings = wishes.colour, settings_of(wishes)
        try:
            reading = read_balance(scene.frame, scene.yard, scene.place, settings)
        except OverlayError as fault:
            report = Report("balance", UNKNOWN, "", str(fault), Tone.ALARM)
        else:
            report = balance_report(reading, settings)
        if self._kept.ghost[0] != colour.ghosts and is_shown(wishes, self._of):
            ghost = Ghost.of(scene.census, scene.frame.signal) if colour.ghosts % 2 else None
            self._kept.ghost = (colour.ghosts, ghost)
        chroma = ChromaShown(settings, colour.gain)
        return More(report, ghost=self._kept.ghost[1], chroma=chroma)

    def chart(self, scene: Scene, wishes: Wishes) -> More:
        """The chart, looked for or within corners moved by hand; anew once a second."""
        now_ns = self._clock.now_ns()
        key = (wishes.colour.offsets, wishes.colour.corner, wishes.profile, scene.frame.signal)
        last = self._read
        if last is not None and last[0] == key and 0 <= now_ns - last[1] < CHART_EVERY_NS:
            return last[2]
        more = self._chart(scene, wishes)
        self._read = (key, now_ns, more)
        return more

    def _chart(self, scene: Scene, wishes: Wishes) -> More:
        frame, yard, colour = scene.frame, scene.yard, wishes.colour
        gamut = wishes.profile.gamut or default_gamut(wishes.profile.curve)
        corners: Corners | None = None
        chosen = None if colour.offsets is None else colour.corner
        try:
            if colour.offsets is None:
                self._kept.base = None
                found = find_chart(frame, yard, gamut)
                corners = self._kept.found = found.corners
                reading = read_chart(frame, yard, gamut, found.reference, found.corners)
            else:
                corners = self._moved(frame.columns, frame.rows, colour.offsets)
                placed = in_order(corners.points)
                reading = read_any(frame, yard, gamut, BUILT_IN, placed, Scaling.NEUTRALS)
        except OverlayError as fault:
            report = Report("chart", UNKNOWN, "", str(fault), _tone_of(fault))
            return More(report, chart=ChartShown(None, corners, chosen))
        return More(chart_report(reading), chart=ChartShown(reading, corners, chosen))

    def _moved(self, columns: int, rows: int, offsets: tuple[tuple[float, float], ...]) -> Corners:
        """The corners as moved from where they were found, or from a rectangle in the picture."""
        base = self._kept.base
        if base is None:
            left, top = START * columns, START * rows
            right, bottom = columns - left, rows - top
            box = Corners(((left, top), (right, top), (right, bottom), (left, bottom)))
            base = self._kept.base = self._kept.found or box
        p = [
            (min(max(x + dx, 0.0), float(columns)), min(max(y + dy, 0.0), float(rows)))
            for (x, y), (dx, dy) in zip(base.points, offsets, strict=True)
        ]
        return Corners((p[0], p[1], p[2], p[3]))


def settings_of(wishes: Wishes) -> BalanceSettings:
    """What a balance is judged by, as the state and its profile say."""
    profile = wishes.profile
    gamut = profile.gamut or default_gamut(profile.curve)
    return BalanceSettings(gamut, wishes.colour.dial(profile.dial), profile.tolerance)


def _tone_of(fault: OverlayError) -> Tone:
    return Tone.ALARM if isinstance(fault, ChartError) else Tone.PLAIN


def balance_report(reading: BalanceReading, settings: BalanceSettings) -> Report:
    """What to dial, large; then the numbers it comes from."""
    first, *more = advice(reading, settings)
    if reading.refusal is not None:
        return Report("balance", UNKNOWN, "", first, Tone.ALARM, notes=reading.warnings)
    if settings.dial is None and not reading.in_tolerance:
        first += ", with + and −"
    main, beside = _balance_main(reading)
    rows = (
        Row(
            "camera is set to, + −",
            "not known" if settings.dial is None else dial_words(settings.dial.kelvin),
            is_chosen=True,
        ),
        Row("red to green, st", stops_text(reading.r_stops, reading.r_stops_pm)),
        Row("blue to green, st", stops_text(reading.b_stops, reading.b_stops_pm)),
        Row("chroma, %", _pm(reading.chroma_percent, reading.chroma_percent_pm, 1)),
        Row("shown as, K", _pm(reading.cct, reading.cct_pm, 0)),
        Row("Duv, 0.001", _pm(_milli(reading.duv), _milli(reading.duv_pm), 1)),
        Row("filter, mired", _shift(reading)),
    )
    return Report("balance", main, beside, first, rows=rows, notes=(*more, *reading.warnings))


def _balance_main(reading: BalanceReading) -> tuple[str, str]:
    far = f"{reading.off_neutral or 0.0:.4f} u'v' off neutral"
    if reading.in_tolerance:
        return "OK", far
    if reading.dial_to is None:
        return "off", far
    tint = tint_words(reading.tint or 0.0)
    beside = f"{pm_text(reading.dial_to_pm, 0)} K"
    return dial_words(reading.dial_to).removesuffix(" K"), f"{beside}  ·  {tint or 'no tint'}"


def chart_report(reading: ChartReading) -> Report:
    """The mean error, large; the worst patch, the greys and the light below."""
    worst = reading.worst
    greys = [reading.patches[n].stops_off for n in reading.neutrals]
    rows = (
        Row("worst", f"{worst.name} {worst.de00 or 0.0:.1f}"),
        Row("light across, st", f"{reading.evenness.fall_stops:.2f}"),
        *(
            Row(f"{reading.patches[n].name}, st", stops_text(value))
            for n, value in zip(reading.neutrals, greys, strict=True)
        ),
    )
    return Report(
        reading.reference.name,
        f"{reading.mean_de00:.1f}",
        "mean ΔE00",
        "tab chooses a corner, arrows move it, C looks for the chart",
        Tone.QUIET,
        rows,
        reading.warnings,
    )


def _milli(value: float | None) -> float | None:
    return None if value is None else 1000.0 * value


def _pm(value: float | None, pm: float | None, decimals: int) -> str:
    if value is None:
        return UNKNOWN
    return f"{value:.{decimals}f} {pm_text(pm, decimals)}"


def _shift(reading: BalanceReading) -> str:
    if reading.mired_shift is None:
        return UNKNOWN
    sheet = "" if reading.sheet is None else f"  {reading.sheet.name}"
    return f"{signed(reading.mired_shift, 0)}{sheet}"
