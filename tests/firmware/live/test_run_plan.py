import dataclasses
from typing import Any

import pytest

from firmware.live.run_plan import RunPlan
from firmware.opening.overrides import Overrides
from firmware.screen.drawing import Drawing
from firmware.screen.rotation import Rotation
from overlays.signal.signal import SignalOverride
from tests import views


def test_nothing_asked_leaves_everything_to_feed_profile_and_display():
    plan = RunPlan(view=views.EXPOSE)
    assert plan.overrides == Overrides()
    assert plan.overrides.signal == SignalOverride()
    assert (plan.feed, plan.profile, plan.size, plan.frames) == (None,) * 4
    assert (plan.screenshot, plan.stats, plan.framebuffer) == (None,) * 3
    assert (plan.drawing, plan.rotation) == (Drawing.WINDOW, Rotation.NONE)


def test_a_plan_is_fixed_and_says_which_view_comes_first():
    with pytest.raises(dataclasses.FrozenInstanceError):
        RunPlan(view=views.EXPOSE).frames = 3  # type: ignore[misc]
    kind: Any = RunPlan  # Any: mypy refuses the wrong call too
    with pytest.raises(TypeError):
        kind()
