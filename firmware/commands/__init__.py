"""What each command does; `firmware.cli` reads the command line and calls one of these."""
