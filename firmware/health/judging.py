"""From looks to conditions: pure, every subject has one, also when it is fine."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from firmware.health.battery import BatteryGoing, BatteryLevel, BatteryLook
from firmware.health.board import BoardLook
from firmware.health.condition import Condition, Severity, Subject
from firmware.health.flow import Flow
from firmware.health.limits import (
    DAMAGED_SHARE,
    LATE_S,
    PASSED_SHARE,
    PICTURE_BYTES,
    PICTURES_LEFT,
    SOFT_C,
    SOFT_MODEL,
    TEMPERATURE_C,
    graded,
)
from firmware.health.mailbox import Brake
from firmware.health.storage import Keeping, PlaceLook

BETTER_SUPPLY = "take a stronger supply and a shorter, thicker lead"
CHARGE_IT = "charge it, by its maker's instructions, or change it"
MORE_AIR = "give it air, shade and a heat sink or a fan"
LESS_TO_DO = "send a lower frame rate, or 720 rows"

Before = Mapping[tuple[Subject, str], Severity]
"""How grave each condition was at the look before, by its key."""


@dataclass(frozen=True, slots=True)
class Looks:
    """All that was seen at one moment.

    Attributes
    ----------
    flow:
        None where no loop runs or nothing comes.
    dips:
        How often the supply fell too low since midgrey was started.
    """

    board: BoardLook
    places: Sequence[PlaceLook]
    flow: Flow | None = None
    dips: int = 0


def judged(looks: Looks, before: Before) -> tuple[Condition, ...]:
    """The condition of everything, in the order of the subjects."""
    return (
        _power(looks.board, looks.dips),
        *(_battery(each) for each in looks.board.batteries),
        _temperature(looks.board, before),
        *(_card(place, before) for place in looks.places),
        _speed(looks.board),
        *_frames(looks.flow, before),
    )


def _power(board: BoardLook, dips: int) -> Condition:
    subject, brakes = Subject.POWER, board.throttle
    if board.is_low_voltage or (brakes is not None and Brake.UNDER_VOLTAGE in brakes.now):
        do = "use a stronger one, a shorter lead"
        return Condition(
            subject,
            Severity.ALARM,
            "supply voltage too low",
            BETTER_SUPPLY,
            f"power supply too weak: {do}",
            f"power supply was too weak: {do}",
            name="WEAK SUPPLY",
        )
    if board.is_low_voltage is None and brakes is None:
        words = "this machine does not say whether its supply holds"
        return Condition(subject, Severity.UNKNOWN, words, _may_ask(board))
    if dips > 0:
        often = "once" if dips == 1 else f"{dips} times"
        words = f"the supply holds now, but fell too low {often} since midgrey was started"
        return Condition(subject, Severity.NOTE, words, BETTER_SUPPLY)
    if brakes is None or brakes.since_start is None:
        return Condition(subject, Severity.FINE, "the supply holds")
    if Brake.UNDER_VOLTAGE in brakes.since_start:
        words = "the supply holds now, but fell too low at some time since start-up"
        return Condition(subject, Severity.NOTE, words, BETTER_SUPPLY)
    return Condition(subject, Severity.FINE, "the supply holds, and has since start-up")


def _may_ask(board: BoardLook) -> str:
    return "sudo adduser $USER video, then log in again" if board.is_refused else ""


def _battery(look: BatteryLook) -> Condition:
    """By its own driver: how far a battery may be emptied is not ours to know."""
    full, short = "charge not known", ""
    if look.percent is not None:
        full = f"{look.percent} ±{look.percent_pm} %" if look.percent_pm else f"{look.percent} %"
        short = f" ({full})"
    words = full if look.going is None else f"{full}, {_GOES[look.going]}"
    subject, where = Subject.BATTERY, look.name
    if look.level is None or look.going is BatteryGoing.CHARGING:
        return Condition(subject, Severity.FINE, words, where=where)
    if look.level is BatteryLevel.CRITICAL:
        line = f"battery nearly empty{short}: change it or switch off"
        words, name = f"nearly empty, {words}", "BATTERY EMPTY"
        return Condition(subject, Severity.ALARM, words, CHARGE_IT, line, where=where, name=name)
    line = f"battery low{short}: charge or change it"
    return Condition(subject, Severity.WARNING, f"low, {words}", CHARGE_IT, line, where=where)


_GOES = {
    BatteryGoing.CHARGING: "charging",
    BatteryGoing.DISCHARGING: "in use",
    BatteryGoing.RESTING: "not in use",
    BatteryGoing.FULL: "full",
}


def _temperature(board: BoardLook, before: Before) -> Condition:
    subject, warm = Subject.TEMPERATURE, board.temperature_c
    if warm is None:
        return Condition(subject, Severity.UNKNOWN, "this machine does not say how warm it is")
    words = f"{warm:.0f} °C"
    if not board.is_pi:
        words = f"{words}; from where on this machine slows down is not known"
        return Condition(subject, Severity.NOTE, words)
    severity = graded(warm, TEMPERATURE_C, before.get((subject, ""), Severity.FINE))
    if severity is Severity.ALARM:
        line = f"board at {words}, its limit: give it air, or switch it off"
        return Condition(
            subject, severity, f"{words}, the most it takes", MORE_AIR, line, name="HOT"
        )
    if severity is Severity.WARNING:
        line = f"board at {words} slows down: give it air and shade"
        return Condition(subject, severity, f"{words}, so it slows down", MORE_AIR, line)
    if SOFT_MODEL in board.model and warm >= SOFT_C:
        words = f"{words}; this board slows down a little above {SOFT_C:.0f} °C"
        return Condition(subject, Severity.NOTE, words, MORE_AIR)
    slows = TEMPERATURE_C[-1].rise
    return Condition(subject, severity, f"{words}; it slows down from {slows:.0f} °C on")


def _card(place: PlaceLook, before: Before) -> Condition:
    subject, where = Subject.CARD, str(place.folder)
    if place.keeping is Keeping.NOT:
        return Condition(
            subject,
            Severity.ALARM,
            f"{where} is read-only, nothing can be kept there",
            "restart; if it comes back, save what is on the card and take another",
            "card is read-only: restart, or take another card",
            where=where,
            name="CARD READ-ONLY",
        )
    left = place.space
    if left is None:
        words = f"{where} does not say how much room is left"
        return Condition(subject, Severity.UNKNOWN, words, where=where)
    pictures = 0.0 if left.free_files == 0 else left.free_bytes / PICTURE_BYTES
    severity = graded(-pictures, PICTURES_LEFT, before.get((subject, where), Severity.FINE))
    if severity > Severity.FINE:
        many = f"room for {pictures:.0f} more pictures"
        room = "no room for another picture" if severity is Severity.ALARM else many
        line = f"{room}: delete old ones"
        words = f"{room} in {where}"
        name = "CARD FULL" if severity is Severity.ALARM else ""
        old = "delete old ones there"
        return Condition(subject, severity, words, old, line, where=where, name=name)
    if not place.may_write:
        words, remedy = f"this user may not write to {where}", "start midgrey in a folder of yours"
        return Condition(subject, Severity.NOTE, words, remedy, where=where)
    return _kept(place, left.free_bytes)


def _kept(place: PlaceLook, free_bytes: int) -> Condition:
    where, room = str(place.folder), f"{_amount(free_bytes)} left"
    if place.keeping is Keeping.MEMORY:
        words = f"{where} is in memory, gone at power-off; {room}"
        kept = "a partition with the label midgrey-data keeps it (hardware/README.md)"
        remedy = kept if place.is_root_in_memory else ""
        return Condition(Subject.CARD, Severity.NOTE, words, remedy, where=where)
    words = f"{where} keeps what is saved; {room}"
    if place.is_root_in_memory:
        words += f" on {place.device}, all else on the card is read-only by choice"
    return Condition(Subject.CARD, Severity.FINE, words, where=where)


def _amount(count: float) -> str:
    """Bytes as a person reads them."""
    return f"{count / 1e9:.1f} GB" if count >= 1e9 else f"{count / 1e6:.0f} MB"


def _speed(board: BoardLook) -> Condition:
    subject, brakes = Subject.SPEED, board.throttle
    if brakes is None:
        words = "this machine does not say whether it is slowed down"
        return Condition(subject, Severity.UNKNOWN, words, _may_ask(board))
    slow = {Brake.THROTTLED, Brake.CAPPED}
    if slow & brakes.now:
        if Brake.UNDER_VOLTAGE in brakes.now:
            cause, remedy, do = "its supply", BETTER_SUPPLY, "use a stronger one"
        else:
            cause, remedy, do = "heat", MORE_AIR, "give it air and shade"
        words = f"slowed down by {cause}"
        line = f"board slowed down by {cause}: {do}"
        return Condition(subject, Severity.WARNING, words, remedy, line)
    if Brake.SOFT_LIMIT in brakes.now:
        words = "a little slower, being warmer than its soft limit"
        return Condition(subject, Severity.NOTE, words, MORE_AIR)
    if brakes.since_start is None:
        return Condition(subject, Severity.FINE, "full speed")
    if slow & brakes.since_start:
        starved = Brake.UNDER_VOLTAGE in brakes.since_start
        words = "full speed now, but slowed down at some time since start-up"
        return Condition(subject, Severity.NOTE, words, BETTER_SUPPLY if starved else MORE_AIR)
    return Condition(subject, Severity.FINE, "full speed, and has been since start-up")


def _frames(flow: Flow | None, before: Before) -> tuple[Condition, ...]:
    if flow is None:
        words = "counted while midgrey runs and frames come"
        return (
            Condition(Subject.FRAMES, Severity.UNKNOWN, words),
            Condition(Subject.AGE, Severity.UNKNOWN, words),
        )
    return _arrival(flow, before), _age(flow, before)


def _arrival(flow: Flow, before: Before) -> Condition:
    subject, was = Subject.FRAMES, before.get((Subject.FRAMES, ""), Severity.FINE)
    severity = graded(flow.damaged_share, DAMAGED_SHARE, was)
    if severity > Severity.FINE:
        words = f"{flow.damaged_share * 100.0:.0f} % of frames arrive damaged"
        remedy = "reseat the HDMI lead, or take a shorter one"
        return Condition(
            subject, severity, words, remedy, f"{words}: reseat or change the HDMI lead"
        )
    severity = graded(flow.passed_share, PASSED_SHARE, was)
    seen = (1.0 - flow.passed_share - flow.damaged_share) * flow.rate
    few = f"{seen:.1f}" if seen < 9.95 else f"{seen:.0f}"
    words = f"{few} of {flow.rate:.0f} frames a second shown"
    if severity > Severity.FINE:
        return Condition(subject, severity, words, LESS_TO_DO, f"{words}: send a lower rate")
    if flow.damaged_share > 0.0:
        words = f"{words}; {flow.damaged_share * 100.0:.1f} % arrive damaged and are not read"
    return Condition(subject, severity, words)


def _age(flow: Flow, before: Before) -> Condition:
    subject = Subject.AGE
    if flow.age_s is None:
        return Condition(subject, Severity.UNKNOWN, "no frame was shown in the last seconds")
    severity = graded(flow.age_s, LATE_S, before.get((subject, ""), Severity.FINE))
    if severity > Severity.FINE:
        words = f"picture {flow.age_s:.2f} s late"
        return Condition(subject, severity, words, LESS_TO_DO, f"{words}: send a lower rate")
    words = f"{flow.age_s * 1000.0:.0f} ms from the feed's stamp to the screen"
    return Condition(subject, severity, words)
