"""Inside the guest: an update by the unit's own code, without its own check of some minutes."""

from dataclasses import replace
from pathlib import Path

from firmware.commands.update import this_unit
from firmware.update.installing import take

unit = replace(this_unit(), check=lambda _folder: "", is_forgetful=lambda: False)
print("TOOK", take(Path("/root/cuts/new.update"), unit))
