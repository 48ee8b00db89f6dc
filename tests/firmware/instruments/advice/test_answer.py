from dataclasses import replace

from firmware.instruments.advice.answer import AdviceAnswer
from firmware.instruments.advice.instrument import Advice
from firmware.profiles.shelf import load_profile
from overlays.wording.reasons import Reason
from tests.colour_frames import card


def test_what_makes_it_less_certain_is_said_once(lit):
    profile = load_profile("log-v")
    scene = lit(card([0.18] * 3), profile=profile)
    answer = Advice().measure(scene, Advice().settings(profile, 25.0), None)
    assert isinstance(answer, AdviceAnswer)
    doubted = replace(answer, origin=replace(answer.origin, warnings=("a doubt",)))
    doubted = replace(doubted, notes=("a doubt", "a note"), why=Reason.CLIPPED)
    assert doubted.warnings.count("a doubt") == 1
    assert doubted.warnings.index("a doubt") < doubted.warnings.index(doubted.remedy)
    assert doubted.warnings[-1] == "a note"
