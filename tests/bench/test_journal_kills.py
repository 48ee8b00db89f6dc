from firmware.journal.store import Store
from tests.bench.journal_kills import run, small_row


def test_what_was_acknowledged_is_there_whenever_the_process_is_killed(tmp_path):
    path = tmp_path / "journal.db"
    Store(path).close()
    tally = run(path, kills=4, seed=7)
    assert tally.kills == 4
    assert tally.acknowledged >= 4
    assert small_row().blobs
