from pathlib import Path

from firmware.journal.journal_folder import journal_file, journal_to_read


def test_a_service_keeps_it_in_its_own_folder_and_a_person_among_their_data():
    assert journal_file({"STATE_DIRECTORY": "/var/lib/m:/other"}) == Path("/var/lib/m/journal.db")
    assert journal_file({"XDG_DATA_HOME": "/d", "HOME": "/h"}) == Path("/d/midgrey/journal.db")
    # What is not absolute is passed over, as the specification asks.
    for data in ("", "rel"):
        found = journal_file({"XDG_DATA_HOME": data, "HOME": "/h"})
        assert found == Path("/h/.local/share/midgrey/journal.db")


def test_the_one_named_is_read_then_ones_own_then_the_appliances(tmp_path):
    environ = {"HOME": str(tmp_path / "me")}
    appliance = tmp_path / "unit"
    own = journal_file(environ)
    assert journal_to_read(Path("x.db"), environ, appliance) == Path("x.db")
    assert journal_to_read(None, environ, appliance) == own
    appliance.mkdir()
    (appliance / "journal.db").write_bytes(b"")
    assert journal_to_read(None, environ, appliance) == appliance / "journal.db"
    own.parent.mkdir(parents=True)
    own.write_bytes(b"")
    assert journal_to_read(None, environ, appliance) == own
