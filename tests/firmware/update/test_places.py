from pathlib import Path

from firmware.update.places import COMMAND, HOME, PYTHON_COMMAND, Places
from tests.places import ROOT


def test_all_of_a_units_places_lie_in_its_home():
    places = Places(Path("/x"))
    every = [places.releases, places.current, places.previous, places.trial, places.given_up]
    every += [places.layout, places.release("1.2.3")]
    assert len(set(every)) == len(every)
    assert all(Path("/x") in each.parents for each in every)


def test_the_scripts_say_the_same_places():
    install = (ROOT / "systemd/install.sh").read_text()
    assert f"place={HOME}\n" in install
    assert '"$place/releases/$version"' in install
    assert "lead current" in install
    making = (ROOT / "systemd/make-release").read_text()
    for each in (COMMAND, PYTHON_COMMAND):
        assert f'"$here/launcher" "$work/{each}"' in making
    assert f"ExecStart={HOME}/current/{COMMAND} run" in (
        ROOT / "systemd/midgrey.service"
    ).read_text().replace(" run $MIDGREY_FEED", " run")
