"""The command's entry point: loads the command line and hands over to it."""

from firmware.system.start_up import without


def main() -> None:
    """Run the command line."""
    # Some releases of typer load rich for help with markup, which ours has not: half their cost.
    with without("rich"):
        from firmware.cli import main as command_line  # noqa: PLC0415 - without rich only here
    # numba looks into scipy for routines of linear algebra, which no kernel of ours calls.
    with without("scipy"):
        command_line()


if __name__ == "__main__":
    main()
