"""The command as a person starts it: what it prints, and how it ends on bad input."""

import json
import re
import shlex
import sys
from fractions import Fraction
from functools import partial

import av
import numpy as np
import pytest

from tests import running


@pytest.fixture
def process(tmp_path):
    """Start the command in a process of its own."""
    return partial(running.process, cwd=tmp_path)


@pytest.fixture
def midgrey(tmp_path):
    """The same within this process, which is faster."""
    return partial(running.midgrey, cwd=tmp_path)


SMALL = "bench:size=640x360"


def picture(columns, rows, pixel_format="yuv420p", level=120):
    frame = av.VideoFrame(columns, rows, pixel_format)
    for plane in frame.planes:
        plane.update(bytes([level]) * plane.buffer_size)
    return frame


def corner(columns, rows):
    """A grey picture with something bright in one corner and something dark in another."""
    levels = np.full((rows, columns), 110, np.uint8)
    levels[:20, -20:], levels[-20:, :20] = 220, 20
    return av.VideoFrame.from_ndarray(levels, "gray").reformat(format="rgb24")


@pytest.fixture
def clip(tmp_path):
    """Write a lossless clip of grey frames; its path."""

    def write(name="x.mkv", frames=3, columns=64, rows=48, options=None, codec="ffv1"):
        path = tmp_path / name
        with av.open(str(path), "w") as container:
            stream = container.add_stream(codec, rate=25, options=options or {})
            stream.width, stream.height, stream.pix_fmt = columns, rows, "yuv420p"
            for number in range(frames):
                frame = picture(columns, rows)
                frame.pts, frame.time_base = number, Fraction(1, 25)
                container.mux(stream.encode(frame))
            container.mux(stream.encode(None))
        return path

    return write


@pytest.fixture
def still(tmp_path):
    """Write a still; its path."""

    def write(name, codec, frame):
        context = av.CodecContext.create(codec, "w")
        context.width, context.height = frame.width, frame.height
        context.pix_fmt, context.time_base = frame.format.name, Fraction(1, 25)
        frame.pts = 0
        data = b"".join(bytes(p) for p in [*context.encode(frame), *context.encode(None)])
        path = tmp_path / name
        path.write_bytes(data)
        return path

    return write


def refused(done, *words):
    """One sentence on standard error, nothing on standard output, status 2."""
    assert done.returncode == 2, done.stderr
    assert done.stdout == ""
    assert done.stderr.startswith("midgrey: ")
    assert "Traceback" not in done.stderr
    assert done.stderr.count("\n") == 1, done.stderr
    for word in words:
        assert word in done.stderr


def test_a_missing_file(process):
    refused(process("read", "gone.mov"), "gone.mov", "no such file")


def test_a_file_that_is_no_video(midgrey, tmp_path):
    (tmp_path / "notes.mp4").write_text("shopping list\n" * 500)
    refused(midgrey("read", "notes.mp4"), "notes.mp4", "not a picture or video")


def test_a_folder(midgrey, tmp_path):
    refused(midgrey("read", tmp_path), "directory")


def test_an_empty_file(midgrey, tmp_path):
    (tmp_path / "empty.mov").write_bytes(b"")
    refused(midgrey("read", "empty.mov"), "empty.mov")


def test_a_truncated_file(midgrey, clip, tmp_path):
    whole = clip("whole.mp4", 20, codec="mpeg4").read_bytes()
    (tmp_path / "cut.mp4").write_bytes(whole[:400])
    refused(midgrey("read", "cut.mp4"), "cut.mp4", "cut short")


def test_footage_of_zero_frames(midgrey, clip, tmp_path):
    whole = clip(frames=1).read_bytes()
    (tmp_path / "none.mkv").write_bytes(whole[: whole.rindex(b"\xa3")])
    refused(midgrey("read", "none.mkv"), "none.mkv", "no frame")


def test_a_frame_beyond_the_end(midgrey, clip):
    refused(midgrey("read", clip(frames=3), "--frame", 3), "no frame 3", "numbers 0 to 2")


def test_a_spot_outside_the_picture(midgrey, clip):
    refused(midgrey("read", clip(), "--at", "60,24,16"), "60,24", "64x48 picture", "move it")
    refused(midgrey("read", clip(), "--at", "0.5,0.5", "--at", "-5,10"), "-5,10", "64x48")


def test_a_spot_that_is_no_spot(midgrey, clip):
    refused(midgrey("read", clip(), "--at", "here"), "'here'", "960,540")


def test_an_unknown_curve(midgrey, clip):
    refused(midgrey("read", clip(), "--curve", "S-Log33"), "'S-Log33'", "did you mean S-Log3")


def test_an_unknown_profile(midgrey, clip):
    refused(midgrey("read", clip(), "--profile", "log-s"), "'log-s'", "did you mean log-s3?")


def test_an_unknown_key_of_a_profile(midgrey, clip, tmp_path):
    (tmp_path / "kit.toml").write_text('curve = "HLG"\ntargt = "0 st"\n')
    refused(
        midgrey("read", clip(), "--profile", "kit.toml"),
        "kit.toml:2: targt: there is no such key; did you mean target?",
    )


def test_an_impossible_band(midgrey, clip, tmp_path):
    (tmp_path / "kit.toml").write_text(
        'curve = "HLG"\nstripes = [{at = "0 st", within = "0.0001 st"}]\n'
    )
    refused(midgrey("read", clip(), "--profile", "kit.toml"), "kit.toml:2: stripes[1]", "widen it")


def test_a_band_too_narrow_for_this_feed_only(midgrey, clip, tmp_path):
    # Holds a code of ten bits, none of eight: the profile is right, the reading is not to be had.
    (tmp_path / "kit.toml").write_text(
        'curve = "BT.709"\nstripes = [{at = "50.0 %", within = "0.05 %"}]\n'
    )
    assert midgrey("profiles", "check", "kit.toml").returncode == 0
    refused(midgrey("read", clip(), "--profile", "kit.toml"), "holds no code of a 8-bit")


def test_several_mistakes_are_all_listed(midgrey, tmp_path):
    (tmp_path / "kit.toml").write_text("title = 3\nx = 1\n")
    done = midgrey("profiles", "check", "kit.toml")
    assert (done.returncode, done.stdout) == (2, "")
    head, *mistakes = done.stderr.splitlines()
    assert head == "midgrey: 3 mistakes:"
    assert len(mistakes) == 3
    assert all(line.startswith("kit.toml") for line in mistakes)


@pytest.mark.parametrize(
    ("option", "value", "meant"),
    [
        ("--range", "limted", "limited"),
        ("--matrix", "BT.708", "BT.709"),
        ("--carriage", "fulll", "full"),
    ],
)
def test_unknown_words_of_options(midgrey, option, value, meant):
    refused(midgrey("read", "bench", option, value), value, f"did you mean {meant}?")


def test_an_unknown_option_of_the_bench(midgrey):
    refused(midgrey("read", "bench:exposre=1"), "exposre", "exposure")


def test_a_picture_of_one_pixel(midgrey, still):
    refused(midgrey("read", still("one.png", "png", picture(1, 1, "gray"))), "1x1")


def test_a_picture_of_odd_size_is_read(midgrey, still):
    done = midgrey("read", still("odd.png", "png", picture(65, 49, "rgb24")), "--json")
    assert done.returncode == 0, done.stderr
    feed = json.loads(done.stdout)["feed"]
    assert (feed["width"], feed["height"], feed["components"]) == (65, 49, "R'G'B'")


def test_interlaced_footage_is_said_to_be_so_and_read(midgrey, clip):
    options = {"flags": "+ildct+ilme", "alternate_scan": "1"}
    path = clip("fields.mpg", 4, options=options, codec="mpeg2video")
    done = midgrey("read", path, "--json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert sum("interlaced" in warning for warning in found["warnings"]) == 1
    assert found["spots"][0]["percent"] is not None
    assert midgrey("expose", path, "--aperture", "4").stdout.count("are two moments") == 1


def test_what_is_printed_as_a_place_is_taken_as_one(midgrey, still):
    # The brightest thing lies in a corner, nearer to the edge than the usual spot is large.
    path = still("corner.png", "png", corner(1280, 720))
    found = midgrey("read", path).stdout
    places = re.findall(r"(?:Brightest|Darkest) .* at (\d+,\d+),", found)
    assert len(places) == 2
    for place in places:
        done = midgrey("read", path, "--at", place)
        assert done.returncode == 0, done.stderr


def test_alpha_is_refused(midgrey, still):
    refused(midgrey("read", still("a.png", "png", picture(16, 8, "rgba"))), "alpha")


def test_a_still_of_floating_point_is_refused(midgrey, still):
    frame = picture(16, 8, "gbrpf32le", 0)
    refused(midgrey("read", still("light.exr", "exr", frame)), "light.exr")


def test_unknown_options_and_commands_end_with_2(midgrey):
    assert midgrey("read", "bench", "--nonesuch").returncode == 2
    assert midgrey("raed").returncode == 2
    assert midgrey("run", "--frames", "0").returncode == 2
    assert midgrey("read").returncode == 2


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["--size", "big"], "1280x720"),
        (["--screenshot", "s.jpg"], "written as png"),
        (["--stats", "none/s.json"], "no folder"),
        (["--rotate", "45"], "by 0, 90, 180, 270 degrees"),
    ],
)
def test_impossible_options_of_run(midgrey, arguments, word):
    refused(midgrey("run", "bench", *arguments), word)


def test_many_spots_in_one_call(midgrey):
    done = midgrey("read", "bench", "--at", "0.5,0.5", "--at", "1728,972,32", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    found = json.loads(done.stdout)
    assert [(s["x"], s["y"], s["size"]) for s in found["spots"]] == [
        (960, 540, 48),
        (1728, 972, 32),
    ]
    for spot in found["spots"]:
        assert spot["stops"] == pytest.approx(spot["truth"]["stops"], abs=0.05)


def test_the_table_fits_80_columns_without_colour(midgrey):
    done = midgrey("read", "bench", "--at", "0.5,0.5", "--at", "200,200", "--profile", "log-v")
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert max(len(line) for line in lines) <= 80
    assert "\x1b" not in done.stdout
    assert "…" not in done.stdout
    assert any("2: 200,200,48" in line for line in lines)


def test_a_terminal_of_few_letters_is_survived(process):
    done = process("read", SMALL, environ={"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert done.returncode == 0, done.stderr


def test_a_reader_that_goes_away_is_no_fault(tmp_path):
    shell = f"{shlex.join(running.START)} read {SMALL} --json | true"
    done = running.process(cwd=tmp_path, start=["/bin/sh", "-c", shell])
    assert done.stderr == ""


def test_without_a_display_the_readings_come_live(process):
    done = process("run", "bench", "--frames", 3)
    assert done.returncode == 0, done.stderr
    assert done.stderr.startswith("midgrey: no display (")
    assert len([line for line in done.stderr.splitlines() if "first start" not in line]) == 1
    first, *lines = done.stdout.splitlines()
    assert first.startswith("bench: ")
    # A machine that is too busy says so now and then, and rightly.
    readings = [line for line in lines if not line.startswith(("WAITING ", "STALE "))]
    assert readings
    assert all(line.startswith("spot ") and " ±" in line for line in readings)


def test_help_is_fast_to_come_and_reading_loads_no_screen():
    program = (
        "import sys\nfrom firmware.__main__ import main\n"
        "from firmware.commands.build import application\napplication()\n"
        "assert not {'numpy', 'numba', 'pydantic', 'rich', 'av', 'pygame'} & set(sys.modules)\n"
        f"sys.argv = ['midgrey', 'read', '{SMALL}', '--json']\n"
        "try:\n    main()\nexcept SystemExit as end:\n    assert not end.code\n"
        "assert 'numba' in sys.modules\n"
        "assert not {'pygame', 'rich.table'} & set(sys.modules)\n"
    )
    done = running.process(start=[sys.executable, "-c", program])
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("command", [[], ["run"], ["read"], ["profiles"], ["doctor"]])
def test_every_command_explains_itself(midgrey, command):
    done = midgrey(*command, "--help")
    assert done.returncode == 0
    assert "Usage: " in done.stdout


def test_version(midgrey):
    done = midgrey("--version")
    assert done.returncode == 0
    assert done.stdout.startswith("midgrey ")


def test_profiles_and_doctor_print_their_tables(midgrey):
    assert "log-v" in midgrey("profiles").stdout
    assert "V-Log" in midgrey("profiles", "--curves").stdout
    assert "Python" in midgrey("doctor").stdout
    assert json.loads(midgrey("doctor", "--json").stdout)["schema"] == 1


def test_the_command_line_goes_over_the_feed_and_the_profile(midgrey):
    arguments = "read bench:curve=V-Log --profile hlg --curve LogC4 --carriage narrow --json"
    done = midgrey(*arguments.split())
    assert done.returncode == 0
    found = json.loads(done.stdout)
    assert found["profile"] == {"name": "hlg", "curve": "LogC4", "carriage": "narrow"}
    assert any("the feed says it carries V-Log" in warning for warning in found["warnings"])


def test_a_grey_of_a_known_code_reads_its_percent(midgrey, clip):
    # ITU-R BT.709-6: limited 8-bit code 120 is (120 - 16) / 219
    done = midgrey("read", clip(), "--range", "limited", "--json")
    (spot,) = json.loads(done.stdout)["spots"]
    assert spot["percent"] == pytest.approx(100 * (120 - 16) / 219, abs=1e-3)
    assert np.allclose(spot["code"], 120.0)
