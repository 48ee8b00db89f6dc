"""A `.cube` file is read as Cube LUT Specification 1.0 (Adobe Systems, 2013) says.

The oracle is colour-science.
"""

import colour.io
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.layout.cube import MOST_EDGE, Cube, parse_cube
from overlays.errors import CubeError

level = st.floats(-2.0, 3.0, width=32)


def text_of(entries, size, head=()):
    rows = [" ".join(f"{each:.7g}" for each in row) for row in entries]
    return "\n".join([*head, size, *rows]) + "\n"


@st.composite
def tables(draw):
    """(text, one dimension or three, entries along an edge)."""
    solid, size = draw(st.booleans()), draw(st.integers(2, 4))
    count = size**3 if solid else size
    chance = np.random.default_rng(draw(st.integers(0, 99)))
    entries = chance.uniform(-0.5, 1.5, (count, 3))
    head = draw(
        st.lists(
            st.sampled_from(["# remark", "", 'TITLE "a look"', "  # LUT_1D_SIZE 7"]), max_size=3
        )
    )
    if draw(st.booleans()):
        head += ["DOMAIN_MIN -0.25 0 0.125", "DOMAIN_MAX 1 1.5 2"]
    return text_of(entries, f"LUT_{3 if solid else 1}D_SIZE {size}", head), solid, size


@given(tables())
def test_what_is_written_is_read_as_the_oracle_reads_it(tmp_path_factory, made):
    text, solid, size = made
    path = tmp_path_factory.mktemp("cube") / "look.cube"
    path.write_text(text)
    wanted = colour.io.read_LUT_IridasCube(str(path))
    found = parse_cube(text, "look")
    assert found.nodes.shape == ((size,) * 3 + (3,) if solid else (size, 3))
    # The oracle has red first.
    nodes = found.nodes.transpose(2, 1, 0, 3) if solid else found.nodes
    np.testing.assert_allclose(nodes, wanted.table, atol=1e-6)
    np.testing.assert_allclose([found.low, found.high], wanted.domain)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "neither LUT_1D_SIZE nor LUT_3D_SIZE"),
        ("LUT_1D_SIZE 2\nLUT_3D_SIZE 2\n0 0 0", "both sizes"),
        ("LUT_1D_SIZE 2\n", "no entries"),
        (
            "LUT_3D_SIZE 66\n0 0 0",
            f"line 1: LUT_3D_SIZE must be a whole number of 2 to {MOST_EDGE}",
        ),
        ("LUT_3D_SIZE 2.5\n", "line 1: LUT_3D_SIZE must be"),
        ("LUT_1D_SIZE 2\nLUT_1D_SIZE 2\n", "line 2: LUT_1D_SIZE is given twice"),
        ("LUT_1D_SIZE 2\n\nLUT_3D_INPUT_RANGE 0 1\n", "line 3: 'LUT_3D_INPUT_RANGE' is no keyword"),
        ("LUT_1D_SIZE 2\n0 0 0\n1 1\n", "line 3: an entry is three numbers, not '1 1'"),
        ("LUT_1D_SIZE 2\n0 0 0\n1 nan 1\n", "line 3: an entry is three numbers"),
        ("LUT_1D_SIZE 2\n0 0 0\n1 1 1e9\n", "line 3: an entry is three numbers"),
        ("LUT_1D_SIZE 2\n0 0 0\n", "line 2: it ends after 1 of the 2 entries"),
        ("LUT_1D_SIZE 2\n0 0 0\n0 0 0\n1 1 1\n", "line 4: there are more entries than the 2"),
        ("LUT_1D_SIZE 2\nDOMAIN_MAX 0 1 1\n0 0 0\n1 1 1", "DOMAIN_MAX must lie above DOMAIN_MIN"),
        ("LUT_1D_SIZE 2\nDOMAIN_MIN 0\n", "line 2: DOMAIN_MIN is three numbers"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(text, words):
    with pytest.raises(CubeError, match=words.replace("(", r"\(")):
        parse_cube(text, "look")


@given(st.text(st.sampled_from("LUT_13D SIZE\n 0.5-e#²٣𝟘inf\t"), max_size=60))
def test_whatever_stands_there_it_is_a_table_or_one_sentence(text):
    try:
        found: Cube | str = parse_cube(f"LUT_1D_SIZE 2\n{text}", "look")
    except CubeError as fault:
        found = str(fault)
    if isinstance(found, str):
        assert "\n" not in found
        assert len(found) < 200
    else:
        assert np.isfinite(found.nodes).all()
