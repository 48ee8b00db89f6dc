from importlib import import_module

from firmware.commands.own import CHECK, PROFILES, wired
from firmware.instruments.registry import REGISTRY


def test_every_command_has_a_module_that_runs_it():
    found = list(wired())
    assert {one.command.name for one in found} >= {each.name for each in REGISTRY.commands()}
    for one in found:
        assert callable(import_module(one.module).main)


def test_no_two_commands_have_one_name():
    names = [one.command.name for one in wired()] + [PROFILES.name]
    assert len(names) == len(set(names))
    assert CHECK.name == "check"
