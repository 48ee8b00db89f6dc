import ast
import inspect
import io
from dataclasses import replace
from pathlib import Path

import pytest

from firmware.clock import HandClock
from firmware.commands.run import desk_plan, drawing_for, kept_file, plan_of, run, unit_plan
from firmware.commands.service import SERVICE
from firmware.errors import ArgumentError, FeedNotFoundError, PresetError, ScreenError
from firmware.instruments.registry import REGISTRY
from firmware.live.run_plan import RunPlan
from firmware.presets.from_kit import FILE, KitKept, keep_taken
from firmware.presets.model import Allowed
from firmware.screen.drawing import Drawing
from firmware.screen.find_display import Display, Driver
from firmware.screen.rotation import Rotation
from firmware.written.options import RunOptions

NOWHERE = Display(Driver.NONE, "no screen")
SCREEN = Display(Driver.X11, "X session :0")
PANEL = Display(Driver.FRAMEBUFFER, "panel", Path("/dev/fb1"))
BENCH = "bench:size=64x36"
EXPOSE = REGISTRY.view(None)


def plan(feed=None, **how):
    return RunPlan(view=EXPOSE, feed=feed, **how)


@pytest.mark.parametrize(
    ("options", "environ", "display", "drawing"),
    [
        (plan(), {}, SCREEN, Drawing.WINDOW),
        (plan(), {}, PANEL, Drawing.FRAMEBUFFER),
        (plan(screenshot=Path("s.png")), {}, PANEL, Drawing.FRAMEBUFFER),
        (plan(), {}, NOWHERE, None),
        (plan(frames=60), {}, NOWHERE, None),
        (plan(frames=60), {"SDL_VIDEODRIVER": "dummy"}, NOWHERE, Drawing.UNSEEN),
        (plan(), {"SDL_VIDEODRIVER": "dummy"}, NOWHERE, None),
        (plan(screenshot=Path("s.png"), frames=60), {}, NOWHERE, Drawing.UNSEEN),
        (plan(stats=Path("s.json"), frames=60), {}, NOWHERE, Drawing.UNSEEN),
        (plan(screenshot=Path("s.png")), {}, SCREEN, Drawing.WINDOW),
    ],
)
def test_where_the_picture_goes(options, environ, display, drawing):
    assert drawing_for(options, environ, display) is drawing


def test_without_a_display_one_line_says_so_and_readings_follow(tmp_path):
    out, err = io.StringIO(), io.StringIO()
    status = run(plan(BENCH, frames=2), HandClock(), {}, out, err, root=tmp_path)
    assert status == 0
    assert err.getvalue().splitlines()[0].startswith("midgrey: no display (")
    first, *readings = out.getvalue().splitlines()
    assert "BT.709" in first
    assert readings[-1].startswith("spot ")


def test_warnings_are_said_at_the_start(tmp_path):
    out, err = io.StringIO(), io.StringIO()
    options = plan("bench:size=64x36,curve=HLG", profile="log-v", frames=1)
    run(options, HandClock(), {}, out, err, root=tmp_path)
    assert "midgrey: note: the feed says it carries HLG" in err.getvalue()


def test_a_feed_that_is_not_there(tmp_path):
    out, err = io.StringIO(), io.StringIO()
    with pytest.raises(FeedNotFoundError):
        run(plan("gone.mov"), HandClock(), {}, out, err, root=tmp_path)


def refuses(options):
    raise ScreenError(f"no driver for {options.drawing.value}")


def test_a_display_that_cannot_be_opened_leaves_the_readings(tmp_path):
    out, err = io.StringIO(), io.StringIO()
    options, environ = plan(BENCH, frames=2), {"DISPLAY": ":77"}
    status = run(options, HandClock(), environ, out, err, root=tmp_path, appliance=refuses)
    assert status == 0
    assert "no display (no driver for window)" in err.getvalue()
    assert out.getvalue().splitlines()[-1].startswith("spot ")


def test_a_screenshot_that_cannot_be_had_is_refused(tmp_path):
    options = plan(BENCH, frames=2, screenshot=tmp_path / "s.png")
    with pytest.raises(ScreenError):
        run(
            options,
            HandClock(),
            {"DISPLAY": ":77"},
            io.StringIO(),
            io.StringIO(),
            root=tmp_path,
            appliance=refuses,
        )


def test_the_appliance_is_told_where_to_draw(tmp_path):
    told = []

    def draws(options):
        told.append(options)
        return 0

    environ = {"WAYLAND_DISPLAY": "wayland-0"}
    options = plan(BENCH, size=(800, 480))
    run(
        options,
        HandClock(),
        environ,
        io.StringIO(),
        io.StringIO(),
        root=tmp_path,
        appliance=draws,
    )
    assert told == [replace(options, drawing=Drawing.WINDOW)]


def test_the_appliance_is_told_which_framebuffer(tmp_path):
    told = []
    folder = tmp_path / "sys/class/graphics/fb1"
    folder.mkdir(parents=True)
    (folder / "name").write_text("fb_ili9341\n")
    options = plan(BENCH, rotation=Rotation.RIGHT)

    def draws(options):
        told.append(options)
        return 0

    environ = {"SDL_VIDEODRIVER": "kmsdrm"}
    out, err = io.StringIO(), io.StringIO()
    run(options, HandClock(), environ, out, err, root=tmp_path, appliance=draws)
    node = Path("/dev/fb1")
    assert told == [replace(options, drawing=Drawing.FRAMEBUFFER, framebuffer=node)]


@pytest.fixture
def service(tmp_path):
    """Run as systemd does, on a board with or without a screen that can be opened or not."""

    def start(*, plugged, openable=True, feed=BENCH, **how):
        err, out, tried = io.StringIO(), io.StringIO(), []
        status = tmp_path / "sys/class/drm/card1-DSI-1/status"
        status.parent.mkdir(parents=True)
        status.write_text("connected\n" if plugged else "disconnected\n")

        def draws(options):
            tried.append(options)
            if options.drawing is Drawing.WINDOW and not openable:
                raise ScreenError("kmsdrm not available")
            return 0

        environ = {"NOTIFY_SOCKET": "/run/notify", "SDL_VIDEODRIVER": "kmsdrm"}
        options = plan(feed, **how)
        done = run(options, HandClock(), environ, out, err, root=tmp_path, appliance=draws)
        assert done == 0
        assert out.getvalue() == ""  # nobody reads a service's output
        assert all(each.is_service and not each.lines for each in tried)
        return [each.drawing for each in tried], err.getvalue(), tried

    return start


def test_a_service_draws_on_the_screen_there_is(service):
    assert service(plugged=True)[:2] == ([Drawing.WINDOW], "")


def test_a_service_without_a_screen_measures_all_the_same_and_says_so_once(service):
    drawn, said, _ = service(plugged=False)
    assert drawn == [Drawing.NOTHING]
    assert said == "midgrey: without a screen (SDL_VIDEODRIVER=kmsdrm has nothing to draw on)\n"


def test_a_service_whose_display_is_not_free_goes_on_without_and_keeps_looking(service):
    drawn, said, tried = service(plugged=True, openable=False)
    assert drawn == [Drawing.WINDOW, Drawing.NOTHING]
    assert said == "midgrey: without a screen (kmsdrm not available)\n"
    assert not tried[-1].is_headless


def test_a_service_that_is_to_draw_nothing_leaves_the_screen_alone(service):
    drawn, said, tried = service(plugged=True, lines=True)
    assert drawn == [Drawing.NOTHING]
    assert "as asked for" in said
    assert tried[-1].is_headless


def test_a_picture_that_a_service_is_to_keep_is_refused_where_it_cannot_be_had(tmp_path):
    def draws(_options):
        raise ScreenError("no memory")

    options = plan(BENCH, screenshot=tmp_path / "s.png")
    environ = {"NOTIFY_SOCKET": "/run/notify", "SDL_VIDEODRIVER": "kmsdrm"}
    with pytest.raises(ScreenError, match="no memory"):
        run(
            options,
            HandClock(),
            environ,
            io.StringIO(),
            io.StringIO(),
            root=tmp_path,
            appliance=draws,
        )


def test_at_a_desk_nothing_is_drawn_where_that_is_asked_for(tmp_path):
    told = []

    def draws(options):
        told.append(options)
        return 0

    options = plan(BENCH, lines=True)
    environ = {"DISPLAY": ":0"}
    run(
        options,
        HandClock(),
        environ,
        io.StringIO(),
        io.StringIO(),
        root=tmp_path,
        appliance=draws,
    )
    assert told == [replace(options, drawing=Drawing.NOTHING)]


def test_a_view_that_is_not_there_is_refused_also_where_nothing_is_drawn():
    with pytest.raises(ArgumentError, match="nonsense"):
        plan_of(RunOptions(feed=BENCH, view="nonsense", frames=1), {})


def test_options_become_a_plan():
    found = plan_of(RunOptions(view="Chips", size="800x480", rotate=90, curve="HLG"), {})
    assert found.view.name == "chips"
    assert (found.size, found.rotation) == ((800, 480), Rotation.RIGHT)
    assert found.overrides.curve == "HLG"
    assert plan_of(RunOptions(), {"MIDGREY_ROTATE": "180"}).rotation is Rotation.HALF


@pytest.mark.parametrize("view", ["chips", "watch", "balance"])
def test_any_view_can_be_read_in_the_terminal(view, tmp_path):
    out, err = io.StringIO(), io.StringIO()
    options = replace(plan("bench:size=320x180", frames=2), view=REGISTRY.view(view))
    assert run(options, HandClock(), {}, out, err, root=tmp_path) == 0
    assert len(out.getvalue().splitlines()) >= 2


def test_a_service_keeps_what_is_set_in_its_own_folder_and_a_desk_where_it_is_told(tmp_path):
    service = {"NOTIFY_SOCKET": "/run/x", "STATE_DIRECTORY": str(tmp_path)}
    assert kept_file(None, service) == tmp_path / "settings.json"
    assert kept_file(None, {"STATE_DIRECTORY": str(tmp_path)}) is None
    assert kept_file(None, {"NOTIFY_SOCKET": "/run/x"}) is None
    mine = tmp_path / "mine.json"
    assert plan_of(RunOptions(keep=mine, factory=True), {}).keep == mine
    assert plan_of(RunOptions(keep=mine, factory=True), {}).factory
    with pytest.raises(ArgumentError, match="written as json"):
        kept_file(tmp_path / "mine.toml", {})


@pytest.fixture
def kit(tmp_path):
    """A unit's environment, its folder of presets and its own."""
    boot, state = tmp_path / "boot", tmp_path / "state"
    boot.mkdir()
    state.mkdir()
    return boot, {"MIDGREY_PRESETS": str(boot), "STATE_DIRECTORY": str(state)}


def test_a_units_preset_goes_over_its_options(kit):
    boot, environ = kit
    options = RunOptions(feed=BENCH, profile="hlg")
    assert unit_plan(options, environ).lock is None
    (boot / "day.toml").write_text(
        'profile = "log-v"\nview = "watch"\ntarget = "1 st"\nlock = true\nlock_allows = ["spot"]\n'
    )
    found = unit_plan(options, environ)
    assert (found.feed, found.profile, found.view.name) == (BENCH, "log-v", "watch")
    assert (str(found.goal[0]), found.goal[1]) == ("+1 st", None)
    assert found.lock.allows == {Allowed.SPOT}
    assert found.wrong == ()


def test_a_spoilt_preset_is_said_and_the_unit_comes_up(kit):
    boot, environ = kit
    (boot / "day.toml").write_text('profile = "nonesuch"\n')
    found = unit_plan(RunOptions(feed=BENCH), environ)
    assert found.feed == BENCH
    assert "there is no good one before it" in found.wrong[0]
    assert "day.toml:1: profile: unknown profile 'nonesuch'" in found.wrong[1]


def test_a_preset_of_the_kit_goes_over_the_units_own_after_a_restart(kit):
    boot, environ = kit
    own = 'profile = "log-v"\nview = "expose"\ntarget = "1 st"\n'
    table = '[kit]\nunit = "cam-a"\nbroker = "192.0.2.1"\npassword = "long enough"\n'
    (boot / "day.toml").write_text(own + table)
    environ = {**environ, SERVICE: "1"}
    state = Path(environ["STATE_DIRECTORY"])
    keep_taken(state / FILE, KitKept("a" * 32, {"view": "watch", "target": "-2 st"}))
    found = unit_plan(RunOptions(feed=BENCH), environ)
    assert (found.view.name, found.profile, str(found.goal[0])) == ("watch", "log-v", "-2 st")
    (boot / "day.toml").write_text(f"{own}lock = true\n{table}")
    assert unit_plan(RunOptions(feed=BENCH), environ).view.name == "expose"


def test_at_a_desk_a_preset_is_named_and_has_to_be_right(tmp_path):
    preset = tmp_path / "day.toml"
    preset.write_text('view = "watch"\nprofile = "hlg"\nlock = true\n')
    found = desk_plan(RunOptions(preset=preset, profile="log-v"), {})
    assert (found.view.name, found.profile, found.lock.allows) == ("watch", "log-v", frozenset())
    preset.write_text("view = 1\n")
    with pytest.raises(PresetError, match=r"day.toml:1: view: "):
        desk_plan(RunOptions(preset=preset), {})


def test_numba_is_loaded_before_anything_of_ours():
    # Deep in nested imports it takes ten times as long; nothing else asks for it that early.
    tree = ast.parse(inspect.getsource(inspect.getmodule(run)))
    imported = [
        node.module if isinstance(node, ast.ImportFrom) else node.names[0].name
        for node in tree.body
        if isinstance(node, ast.Import | ast.ImportFrom)
    ]
    roots = [name.split(".")[0] for name in imported]
    assert roots.index("numba") < roots.index("firmware")
