"""A feed check in sentences: what arrives, what is wrong and what it costs, what to read next."""

from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.misread import Misread, largest_difference, misread
from overlays.measure.feedcheck.readings import What
from overlays.measure.feedcheck.verdict import FeedCheck, Sureness
from overlays.signal.signal import Range

RANGE_WORDS = {
    Range.LIMITED: "limited range",
    Range.FULL: "full range",
    Range.STRETCHED: "limited range stretched to full",
    Range.SQUEEZED: "limited range squeezed once more",
    Range.SQUEEZED_TWICE: "limited range squeezed twice more",
}

NEXT_WORDS = {
    What.WHITE: "a white chip (90 %) beside the grey card, in the same light and exposure",
    What.DARK: "the same grey card with the lens or shutter closed by four stops",
}

MOST_NAMED = 4
"""Ways to read a feed that a sentence names."""


def delivery_words(delivery: Delivery) -> str:
    """A name for what arrives: "S-Log3, carriage full, limited range".

    Parameters
    ----------
    delivery:
        A hypothesis.

    Returns
    -------
    str
        A phrase; full range has no carriage.

    Examples
    --------
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> delivery_words(Delivery(published_curve("S-Log3"), Carriage.FULL, Range.LIMITED))
    'S-Log3, carriage full, limited range'
    """
    carried = "" if delivery.range is Range.FULL else f", carriage {delivery.carriage.value}"
    return f"{delivery.curve.name}{carried}, {RANGE_WORDS[delivery.range]}"


def cost_words(costs: tuple[Misread, ...]) -> str:
    """What a wrong reading costs, in one phrase.

    Parameters
    ----------
    costs:
        From `misread`, in stops.

    Returns
    -------
    str
        Each place with its stops, such as "mid-grey reads 0.02 st too bright".

    Examples
    --------
    >>> cost_words((Misread("mid-grey", 0.0, 0.02), Misread("a white chip", 2.32, -0.23)))
    'mid-grey reads 0.02 st too bright, a white chip 0.23 st too dark'
    """
    reads = ["reads "] + [""] * len(costs)
    said = [
        f"{each.place} {word}{_off_words(each.off_stops)}"
        for each, word in zip(costs, reads, strict=False)
    ]
    return ", ".join(said)


def _off_words(off_stops: float | None) -> str:
    if off_stops is None:
        return "not at all"
    far = f"{abs(off_stops):.2f}"
    if float(far) == 0.0:
        return "right"
    return f"{far} st too {'bright' if off_stops > 0.0 else 'dark'}"


def wrong_words(check: FeedCheck, now: Delivery) -> str | None:
    """What is wrong and what it costs; None where the feed is read as it arrives, or not known.

    Parameters
    ----------
    check, now:
        The verdict, and how the feed is read.

    Returns
    -------
    str | None
        One sentence, without a full stop.

    Examples
    --------
    >>> from overlays.measure.feedcheck.readings import CodeReading
    >>> from overlays.measure.feedcheck.verdict import check_feed
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> video = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
    >>> codes = {What.CAP: 64.0, What.CARD: 493.0, What.CLIP: 1019.0}
    >>> readings = {what: CodeReading(code, 0.2) for what, code in codes.items()}
    >>> wrong_words(check_feed(readings, 10, video), video).split(":")[0]
    'it carries BT.1886 and is read as BT.709'
    """
    chosen = check.chosen
    if chosen is None or chosen.alike == now.alike:
        return None
    parts = []
    if chosen.curve != now.curve:
        parts.append(f"it carries {chosen.curve.name} and is read as {now.curve.name}")
    if chosen.range is not now.range:
        parts.append(f"it is {RANGE_WORDS[chosen.range]} and is read as {RANGE_WORDS[now.range]}")
    elif chosen.carriage is not now.carriage and chosen.curve == now.curve:
        parts.append(f"its carriage is {chosen.carriage.value} and is read as {now.carriage.value}")
    costs = cost_words(misread(chosen, now, check.bits))
    return f"{' and '.join(parts)}: {costs}"


def verdict_words(check: FeedCheck, now: Delivery) -> str:
    """The verdict in one sentence, without a full stop.

    Parameters
    ----------
    check, now:
        The verdict, and how the feed is read.

    Returns
    -------
    str
        The first thing to say of it.

    Examples
    --------
    >>> from overlays.measure.feedcheck.readings import CodeReading
    >>> from overlays.measure.feedcheck.verdict import check_feed
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> video = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
    >>> codes = {What.CAP: 64.0, What.CARD: 422.0, What.CLIP: 1019.0}
    >>> readings = {what: CodeReading(code, 0.2) for what, code in codes.items()}
    >>> verdict_words(check_feed(readings, 10, video), video)
    'cap, card and clip fit how the feed is read now, and 2 other ways fit too'
    """
    if check.standing is Sureness.COLOURED:
        return (
            "the card is not grey in this light: set the balance by it, then read all three again"
        )
    if check.chosen is None:
        return (
            "nothing that is known explains cap, card and clip: a look may be on, or the card is "
            "not at mid-grey"
        )
    wrong = wrong_words(check, now)
    if check.is_certain:
        return wrong or f"the feed is what it is read as: {delivery_words(now)}"
    known = any(now.alike == group[0].alike for group in check.groups)
    count = len(check.groups)
    if known:
        others = "another way fits" if count == 2 else f"{count - 1} other ways fit"
        return f"cap, card and clip fit how the feed is read now, and {others} too"
    return (
        f"cap, card and clip do not fit how the feed is read now; {count} other ways to read it do"
    )


def advice_words(check: FeedCheck, now: Delivery, kept: str = "") -> tuple[str, ...]:
    """What to do next, in sentences without full stops, the first the most useful.

    Parameters
    ----------
    check, now:
        The verdict, and how the feed is read.
    kept:
        What was written of it already, in words.

    Returns
    -------
    tuple[str, ...]
        None where nothing is to be done.

    Examples
    --------
    >>> from overlays.measure.feedcheck.readings import CodeReading
    >>> from overlays.measure.feedcheck.verdict import check_feed
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> video = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
    >>> codes = {What.CAP: 64.0, What.CARD: 300.0, What.CLIP: 1019.0}  # no curve has grey there
    >>> readings = {what: CodeReading(code, 0.2) for what, code in codes.items()}
    >>> advice_words(check_feed(readings, 10, video), video)[0].split(";")[0]
    'expose the grey card by a light meter and read again'
    """
    out = []
    if check.standing is Sureness.UNEXPLAINED:
        out.append(
            "expose the grey card by a light meter and read again; where it stays so, the camera's "
            "curve is none that was published: measure it with midgrey characterise"
        )
    if len(check.groups) > 1:
        named = [delivery_words(group[0]) for group in check.groups[:MOST_NAMED]]
        more = len(check.groups) - len(named)
        out.append(f"possible are {'; '.join(named)}{f'; and {more} more' if more else ''}")
        out.append(_ask(check))
    if check.is_certain and check.chosen is not None:
        names = [delivery_words(each) for each in check.groups[0] if each != check.chosen]
        if names:
            out.append(f"read the same by {'; '.join(names)}: greys exactly, colours within 2 %")
        if check.chosen.alike != now.alike and not kept:
            out.append("write it in a profile with --profile-out, or keep it for this device")
    return tuple(out)


def _ask(check: FeedCheck) -> str:
    if check.ask is not None:
        return f"to tell them apart, read {NEXT_WORDS[check.ask]}"
    one, other = check.groups[0][0], check.groups[1][0]
    card, clip = check.readings[What.CARD].code, check.readings[What.CLIP].code
    apart = largest_difference(one, other, check.bits, (card, max(clip, card + 1.0)))
    if apart is None:
        return "neither a white chip nor a darker card would tell them apart; a bracket may"
    return (
        "neither a white chip nor a darker card would tell them apart: between the card and the "
        f"clip the first two differ by at most {apart:.2f} st"
    )
