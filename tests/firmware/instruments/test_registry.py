import sys

import pytest

from firmware.errors import ArgumentError
from firmware.instruments.registry import REGISTRY
from tests import views
from tests.places import ROOT
from tests.running import process


def printed(program: str) -> list[str]:
    """Words that a program prints in a process of its own."""
    done = process(start=(sys.executable, "-c", program), cwd=ROOT)
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


def test_views_and_names_are_each_ones_own():
    names = [view.name for view in REGISTRY.views()]
    assert len(names) == len(set(names))
    instruments = [line.instrument.name for line in REGISTRY.lines]
    assert len(instruments) == len(set(instruments))


def test_what_is_shown_is_what_has_a_view():
    shown = [line.instrument for line in REGISTRY.lines if line.instrument.views]
    assert list(REGISTRY) == shown
    assert len(shown) < len(REGISTRY.lines)


def test_what_is_a_command_alone_is_loaded_by_no_screen():
    program = (
        "import sys\nfrom firmware.instruments.registry import REGISTRY\n"
        "for view in REGISTRY.views(): REGISTRY.in_view(view)\n"
        "print(*(name for name in sys.modules if 'characterise' in name))\n"
    )
    assert printed(program) == []


def test_every_view_finds_its_instrument():
    for instrument in REGISTRY:
        for view in instrument.views:
            assert REGISTRY.in_view(view) is instrument


def test_drawing_is_tested_with_the_views_there_are():
    assert tuple(REGISTRY.views()) == views.VIEWS


def test_a_view_by_its_name():
    assert REGISTRY.view(None).name == "expose"
    assert REGISTRY.view("Chips").name == "chips"
    with pytest.raises(ArgumentError, match=r"unknown view 'chps'; did you mean chips\?"):
        REGISTRY.view("chps")


@pytest.mark.parametrize(("once", "now"), [("advice", "expose"), ("Reading", "target")])
def test_a_view_that_has_gone_up_in_another_is_found_by_its_old_name(once, now):
    assert REGISTRY.view(once) is REGISTRY.view(now)
    assert once.casefold() not in {view.name for view in REGISTRY.views()}


def test_a_command_finds_its_instrument():
    for command in REGISTRY.commands():
        assert REGISTRY.of_command(command.name).command is command


def test_commands_are_known_before_anything_is_loaded_that_measures():
    program = (
        "import sys\nfrom firmware.instruments.registry import REGISTRY\n"
        "print(*(c.name for c in REGISTRY.commands()))\n"
        "assert not {'numpy', 'numba', 'pygame', 'pydantic'} & set(sys.modules), sys.modules\n"
    )
    assert "read" in printed(program)


def test_an_instrument_is_found_by_its_name():
    for line in REGISTRY.lines:
        assert REGISTRY.of_name(line.instrument.name) is line
    with pytest.raises(ArgumentError, match="no instrument moss"):
        REGISTRY.of_name("moss")
