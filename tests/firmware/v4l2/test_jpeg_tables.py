from firmware.v4l2.jpeg_tables import USUAL_TABLES


def test_as_the_standard_counts_them():
    # ITU-T T.81, Tables K.3 to K.6: 12 sizes of DC, 162 pairs of run and size of AC.
    assert {key: len(table) - 16 for key, table in USUAL_TABLES.items()} == {
        (0, 0): 12,
        (0, 1): 12,
        (1, 0): 162,
        (1, 1): 162,
    }
    assert all(sum(table[:16]) == len(table) - 16 for table in USUAL_TABLES.values())
    assert USUAL_TABLES[1, 0][:16] == bytes([0, 2, 1, 3, 3, 2, 4, 3, 5, 5, 4, 4, 0, 0, 1, 125])
