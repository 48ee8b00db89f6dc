"""What comes from a broker is one of ours or is passed over with one sentence, whatever it is."""

import json

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from firmware.clock import HandClock
from firmware.errors import KitError
from firmware.kit.ear import Ear
from firmware.kit.payloads import Health, Presence
from firmware.kit.topics import FROM_UNITS, MODELS, MOST_BYTES, Topic, packed, parsed, topic_of
from tests.kit_messages import every_message

BOOT = "0" * 32
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=9), inner),
    max_leaves=12,
)
MESSAGES = {topic: packed(message) for topic, message in every_message().items()}


def unit_of(topic):
    return "cam-b" if topic in FROM_UNITS else "kit"


@pytest.mark.parametrize("topic", Topic)
def test_what_is_sent_is_what_comes(topic):
    said = parsed(topic_of(unit_of(topic), topic), MESSAGES[topic])
    assert (said.unit, said.topic) == (unit_of(topic), topic)
    assert said.message == every_message()[topic]


def mutated(draw, topic):
    """A message of ours with one thing of it, however deep, replaced by another or gone."""
    found = json.loads(MESSAGES[topic])
    at = found
    while True:
        keys = list(at) if isinstance(at, dict) else list(range(len(at)))
        if not keys:
            break
        key = draw(st.sampled_from(keys))
        if isinstance(at[key], dict | list) and at[key] and draw(st.booleans()):
            at = at[key]
            continue
        if draw(st.booleans()):
            at[key] = draw(JSON)
        else:
            del at[key]
        break
    return json.dumps(found).encode()


@st.composite
def anything(draw):
    topic = draw(st.sampled_from(Topic))
    # Mostly where it belongs, so that what is said there is looked at too.
    own = [unit_of(topic)] * 12
    unit = draw(st.sampled_from([*own, "cam-b", "kit", "cam-a", "", "#", "+", "ä", "x" * 40]))
    payload = draw(
        st.binary(max_size=200)
        | JSON.map(lambda found: json.dumps(found).encode())
        | st.just(MESSAGES[topic])
        | st.builds(lambda cut: MESSAGES[topic][:cut], st.integers(0, 400))
        | st.composite(mutated)(topic)
    )
    return topic_of(unit, topic), payload


def tried(topic, payload):
    try:
        return parsed(topic, payload), ""
    except KitError as fault:
        return None, str(fault)


@given(anything())
def test_whatever_comes_is_ours_or_refused_with_one_sentence(came):
    topic, payload = came
    said, refused = tried(topic, payload)
    event("refused" if said is None else "taken")
    if said is None:
        assert "\n" not in refused
        assert refused.endswith("passed over")
        return
    # What is taken can be sent on, and has no number that is none.
    again = packed(said.message)
    assert parsed(topic, again) == said
    json.loads(again, parse_constant=pytest.fail)


@settings(max_examples=30)  # each is a handful of what the test above looks at one by one
@given(st.lists(anything(), max_size=6))
def test_an_ear_counts_what_it_refuses_and_goes_on(every):
    ear = Ear(HandClock())
    for topic, payload in every:
        ear.take(topic, payload, is_kept=False)
        ear.understand()
    good = Presence(schema=1, unit="cam-z", online=True, left=False, boot=BOOT)
    ear.take(topic_of("cam-z", Topic.PRESENCE), packed(good), is_kept=True)
    ear.understand()
    assert ear.refused.count <= len(every)
    assert next(each for each in ear.units() if each.name == "cam-z").is_online


@pytest.mark.parametrize(
    ("topic", "payload", "said"),
    [
        ("midgrey/1/cam-b/reading", b"x" * (MOST_BYTES + 1), "more than any of ours"),
        ("midgrey/1/cam-b/reading", b'{"a": NaN}', "no object of JSON"),
        ("midgrey/1/cam-b/reading", b"[" * 20_000, "no object of JSON"),
        ("midgrey/2/cam-b/reading", b"{}", "none of midgrey's"),
        ("midgrey/1/kit/reading", b"{}", "kit for all"),
        ("midgrey/1/cam-b/slate", b"{}", "kit for all"),
        ("other", b"{}", "none of midgrey's"),
    ],
)
def test_what_is_none_of_ours(topic, payload, said):
    with pytest.raises(KitError, match=said):
        parsed(topic, payload)


def test_a_unit_that_speaks_of_another_is_not_believed():
    message = Health(schema=1, unit="cam-a", boot=BOOT, conditions=())
    with pytest.raises(KitError, match="another unit than its topic"):
        parsed(topic_of("cam-b", Topic.HEALTH), packed(message))


def test_every_topic_has_a_model_and_none_is_too_large():
    assert set(MODELS) == set(Topic)
    assert max(map(len, MESSAGES.values())) < MOST_BYTES
