"""From the state, and from what is painted, to what a page shows of it."""

from firmware.actions import Press, ShowView
from firmware.live.locked import is_locked, takes
from firmware.live.railing import now_of
from firmware.live.state import State
from firmware.page.standing import Choice, OnPage, PageCopies, PageState
from firmware.presets.model import Allowed
from firmware.rail.pages import At, Leaf, Meaning
from firmware.rail.sheet import Sheet, first_page, sheets
from overlays.draw.layout.monitor import Monitor
from overlays.draw.layout.views import Readings
from overlays.draw.moment.layers import PinShown
from overlays.draw.moment.shown import BELIEVED, Face, Shown
from overlays.signal.kept_frame import kept

VIEWS, REST, SLATE = "views", "rest", "slate"
"""Lists of the page that labels of the rail open there, where the unit turns a page."""


def standing_of(state: State) -> PageState:
    """What is set, and what can be asked for."""
    now, locking = now_of(state), state.locking
    allowed = frozenset(Allowed) if locking is None or not locking.is_on else locking.lock.allows
    lists = (
        Sheet(sheet.title, tuple(each for each in sheet.entries if takes(state, each[1])))
        for sheet in sheets(now)
    )
    first = first_page(now)
    pins = tuple(
        PinShown(pin.place, f"{number} {pin.name}".strip())
        for number, pin in enumerate(state.desk.pins, start=1)
    )
    return PageState(
        views=now.views if not is_locked(state) else (),
        pressed=tuple(_choice(state, slot.pressed) for slot in first),
        held=tuple(_choice(state, slot.held) for slot in first),
        sheets=tuple(each for each in lists if each.entries),
        profiles=() if is_locked(state) else tuple(each.title for each in state.profiles),
        profile=state.profile,
        pins=pins,
        is_locked=is_locked(state),
        places=Allowed.SPOT in allowed,
        pins_allowed=takes(state, Press.SET_PIN),
    )


def _choice(state: State, meaning: Meaning | None) -> Choice | None:
    """A label of the first page, as far as the unit takes it now."""
    if meaning is None or isinstance(meaning.does, ShowView):
        return None
    if isinstance(meaning.does, At):
        return None if is_locked(state) else _opening(meaning.label, meaning.does.leaf)
    if not takes(state, meaning.does):
        return None
    # What a mark carries is said first.
    return Choice(meaning.label, meaning.does, SLATE if meaning.does is Press.MARK else "")


def _opening(label: str, leaf: Leaf) -> Choice:
    if leaf is Leaf.INDEX:
        return Choice(label, opens=VIEWS)
    return Choice(label, opens=REST, section=leaf.value if leaf is Leaf.OWN else "")


def seen_of(shown: Shown, standing: PageState) -> OnPage:
    """What was painted, without the frame: that is lent."""
    readable, measured = shown.readable, shown.measured
    has_report = shown.view.readings is Readings.REPORT
    frame = None if measured is None else measured.frame
    return OnPage(
        standing=standing,
        view=shown.view.name,
        face=shown.face,
        face_words=shown.face_words,
        source=shown.source,
        target=str(shown.goal.target),
        warnings=(*(() if readable is None else readable.frame.notes), *shown.warnings),
        note=shown.note,
        alert=shown.alert,
        stripes=shown.stripes,
        selected=shown.selected,
        is_painted=shown.painted,
        has_report=has_report,
        number=None if readable is None else readable.frame.number,
        size=None if frame is None else (frame.columns, frame.rows),
        place=None if measured is None else measured.place,
        spot=None if readable is None else readable.spot,
        range=None if readable is None else readable.range,
        report=shown.report,
        figures={} if readable is None else readable.figures,
        yard=None if measured is None else measured.yard,
    )


def taken_of(shown: Shown) -> PageCopies | None:
    """Copies for a picture, of which some milliseconds are spent here; None without a picture.

    Stripes are those that the screen would paint: not over colours that are to be judged.
    """
    measured = shown.measured
    if measured is None or shown.face is Face.LOST:
        return None
    codes = tuple(each.codes for each in shown.stripes if each.codes is not None)
    copied = kept(measured.frame)
    counts = measured.census.copy()
    is_believed = shown.face in BELIEVED
    bands = codes if shown.is_striped and is_believed else ()
    return PageCopies(copied, measured.yard, counts, bands, _as_seen(shown.monitor))


def _as_seen(monitor: Monitor) -> Monitor:
    """Of how the picture is shown what a phone shares: its view transform."""
    return Monitor(transform=monitor.transform, cube=monitor.cube)
