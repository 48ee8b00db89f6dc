from firmware.health.condition import Condition, Severity, Subject, worst

HOT = Condition(Subject.TEMPERATURE, Severity.WARNING, "hot")
SLOW = Condition(Subject.SPEED, Severity.WARNING, "slow")
FULL = Condition(Subject.CARD, Severity.ALARM, "full", where="/var")
WELL = Condition(Subject.POWER, Severity.FINE, "the supply holds")
NOTED = Condition(Subject.POWER, Severity.NOTE, "was low once")
BLIND = Condition(Subject.POWER, Severity.UNKNOWN, "not known")


def test_the_gravest_comes_first_and_of_two_equals_the_earlier_subject():
    assert worst([SLOW, HOT, FULL, WELL]) is FULL
    assert worst([SLOW, HOT]) is HOT
    assert worst([HOT, SLOW]) is HOT


def test_what_does_not_matter_enough_is_not_shown():
    assert worst([]) is None
    assert worst([WELL, NOTED, BLIND]) is None


def test_two_places_of_a_subject_are_two_conditions():
    other = Condition(Subject.CARD, Severity.FINE, "fine", where="/home")
    assert FULL.key != other.key
    assert FULL.key == Condition(Subject.CARD, Severity.FINE, "fine again", where="/var").key
