"""Buttons, encoder and lamp on a simulated chip, through lgpio as on a board.

Each check takes a running machine that has been prepared; times are those of an emulated one.
"""

from collections.abc import Callable
from pathlib import Path

from gpio_kit import Kit
from machine import Machine

HERE = Path(__file__).resolve().parent
LINES = 54
"""As many as a Raspberry Pi 4 has, so that a line's number is its BCM number."""
CHIP = f"""
modprobe configfs && mount -t configfs configfs /sys/kernel/config
insmod /run/tests/gpio-sim.ko
cd /sys/kernel/config/gpio-sim && mkdir -p board/bank && cd board
echo {LINES} > bank/num_lines && echo 1 > live && cat bank/chip_name
"""
# gpiozero asks the processor's revision which board it is: a Raspberry Pi 4 B.
REVISION = "Revision : c03111\n"


def prepare(machine: Machine, kit: Kit) -> None:
    """Give the guest a chip, lgpio, what presses the buttons, and a panel of its own."""
    give_chip(machine, kit)
    machine.python("import pins; pins.release_all(); panel = pins.opened()", 180.0)


def give_chip(machine: Machine, kit: Kit) -> None:
    """Give the guest a chip and lgpio; the service stands still."""
    machine.put("/run/tests/gpio-sim.ko", kit.module.read_bytes())
    machine.put(f"/run/tests/{kit.wheel.name}", kit.wheel.read_bytes())
    machine.put("/run/tests/pins.py", (HERE / "guest/pins.py").read_bytes())
    machine.check("systemctl stop midgrey.service")
    chip = machine.check(CHIP).strip()
    assert chip == "gpiochip0", chip
    pip = "python3 -m pip install -q --no-index --no-deps --disable-pip-version-check --target"
    site = "$(echo /opt/midgrey/current/venv/lib/python3*/site-packages)"
    machine.check(f"{pip} {site} /run/tests/{kit.wheel.name}", 120.0)
    machine.put("/run/cpuinfo", REVISION.encode())
    machine.check("mount --bind /run/cpuinfo /proc/cpuinfo")


def each_button(machine: Machine) -> str:
    """A press of the rail's buttons is two edges, of another one action, told at once."""
    answers = machine.python("answer = pins.press_each(panel)")
    for wanted, came, _ in answers:
        assert came == wanted, f"{wanted}: {came}"
    times = [took_ms for *_, took_ms in answers]
    return f"{len(answers)} buttons, {min(times):.0f} to {max(times):.0f} ms each"


def bouncing_contact(machine: Machine) -> str:
    """A contact that bounces both ways is one press."""
    came, longest_ms = machine.python("answer = pins.bounce(panel, 6, 8)")
    assert longest_ms < 20.0, f"still for {longest_ms:.0f} ms: too slow a machine to tell"
    assert came == ["2 closed", "2 opened"], came
    return f"17 edges each way, {longest_ms:.1f} ms apart at most: one press"


def turned_by_hand(machine: Machine) -> str:
    """No step of the encoder is lost, either way, also beyond sixteen."""
    said = []
    for steps, name in ((40, "STRIPE_UP"), (-40, "STRIPE_DOWN")):
        came, took_ms = machine.python(f"answer = pins.turn(panel, {steps})")
        assert came == [name] * abs(steps), f"{len(came)} of {abs(steps)}: {set(came)}"
        said.append(f"{abs(steps) * 1000 / took_ms:.0f} steps a second")
    return ", ".join(said)


def lamp_flashes(machine: Machine) -> str:
    """Dark, flashing without a signal, dark again."""
    before, seen, after = machine.python("answer = pins.lamp(panel)")
    assert (before, after) == (0, 0), (before, after)
    assert seen == [1, 0, 1], seen
    return "dark, flashing, dark"


def pins_in_use(machine: Machine) -> str:
    """A second process gets one sentence, and the first goes on."""
    code = (
        "import sys; sys.path.insert(0, '/run/tests'); import pins; "
        "from firmware.controls.panel import open_panel; pins.os.chdir('/sys'); "
        "print(*open_panel(pins.Quiet(), pins.SystemClock(), pins.ROOT))"
    )
    python = "XDG_RUNTIME_DIR=/run /opt/midgrey/current/bin/python"
    said = machine.check(f'{python} -c "{code}"', 120.0).strip().splitlines()[-1]
    assert said.startswith("None buttons do not work: the pins of buttons and lamp"), said
    each_button(machine)
    return said.removeprefix("None ")


def let_go(machine: Machine) -> str:
    """Closed, the lines are free, and can be had again."""
    machine.python("panel.close(); again = pins.opened(); again.close(); answer = 1")
    pipes = machine.check("ls -a /run | grep -c lgd-nfy").strip()
    return f"opened again; lgpio's {pipes} pipe in the folder that was named"


CHECKS: dict[str, Callable[[Machine], str]] = {
    "each button": each_button,
    "bouncing contact": bouncing_contact,
    "encoder": turned_by_hand,
    "lamp": lamp_flashes,
    "pins in use": pins_in_use,
    "let go": let_go,
}
