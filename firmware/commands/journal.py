"""`midgrey journal`: what was marked, what post gets of it, and whether it still holds."""

import json
import os
import sys
from pathlib import Path
from typing import TextIO

from firmware.answers.table import print_lines
from firmware.commands.own import JournalOptions, VerifyOptions
from firmware.errors import ArgumentError, FirmwareError, JournalError
from firmware.journal.chosen import ChosenRow, checked_day, chosen_rows, whole
from firmware.journal.journal_folder import journal_to_read
from firmware.journal.outlets import csv_text, files_of, json_object, lines
from firmware.journal.store_reader import StoreReader
from firmware.system.files import save, unsaved
from firmware.written.arguments import output_file
from firmware.written.declared import Command

SHOWN = 8
"""Numbers of rows in one sentence."""


def main(_command: Command, options: JournalOptions | VerifyOptions) -> None:
    """List or verify, on standard output, or write what was asked for."""
    with StoreReader(journal_to_read(options.journal, os.environ)) as file:
        if isinstance(options, VerifyOptions):
            check(file, sys.stdout)
        else:
            hand_over(file, options, sys.stdout)


def check(file: StoreReader, out: TextIO) -> None:
    """Recompute every number and check every seal; one sentence.

    Raises
    ------
    JournalError
        Something is not as it was written; the message lists all of it.
    """
    from firmware.journal.verify import verify  # noqa: PLC0415 - not for a list: it takes kernels

    found = verify(file)
    if found.faults:
        raise JournalError("\n".join(f"{file.path}: {each}" for each in found.faults))
    print(
        f"{file.path}: {found.rows} rows, {found.marks} of them marks, as they were written; "
        f"{found.numbers} numbers recomputed from their codes, counts and means to the last digit, "
        f"{found.sealed} held by their seals alone.",
        file=out,
    )
    if found.names:
        said = ", ".join(
            f"{name} ({rows} row{'s' if rows != 1 else ''})" for name, rows in found.names
        )
        print(f"Held by their seals alone: {said}.", file=out)


def hand_over(file: StoreReader, options: JournalOptions, out: TextIO) -> None:
    """Write the files that were asked for; else print the list.

    Raises
    ------
    FirmwareError
        An option cannot be understood, or a file not be written.
    """
    rows = chosen_rows(file, checked_day(options.day))
    outlets = (
        (options.csv, ".csv", _csv),
        (options.json, ".json", _json),
        (options.report, ".html", _report),
        (options.markers, ".otio", _markers),
    )
    asked = [
        (output_file(path, ending), make) for path, ending, make in outlets if path is not None
    ]
    if options.cdl is not None and not options.cdl.is_dir():
        raise ArgumentError(f"--cdl {options.cdl}: there is no such folder; make it first")
    for path, make in asked:
        _write(path, make(file, rows), out)
    if options.cdl is not None:
        _write_cdls(options.cdl, file, rows, out)
    elif not asked:
        print_lines(lines(rows), out)
    if file.unreadable:
        warn(file)


def warn(file: StoreReader) -> None:
    """Say on standard error which rows a damaged file no longer gives."""
    lost = sorted(file.unreadable)
    which = ", ".join(map(str, lost[:SHOWN])) + (" and more" if len(lost) > SHOWN else "")
    rows = f"1 row ({which})" if len(lost) == 1 else f"{len(lost)} rows ({which})"
    sys.stderr.write(
        f"midgrey: {file.path}: {rows} cannot be read, the file is damaged; what is shown is the "
        "rest\n"
    )


def _csv(file: StoreReader, rows: list[ChosenRow]) -> str:
    return csv_text(whole(file, rows))


def _json(file: StoreReader, rows: list[ChosenRow]) -> str:
    made = json_object(str(file.path), whole(file, rows))
    return json.dumps(made, indent=2, allow_nan=False, ensure_ascii=False) + "\n"


def _report(file: StoreReader, rows: list[ChosenRow]) -> str:
    # Recomputes what it shows, which takes kernels.
    from firmware.journal.day_report import report_html  # noqa: PLC0415

    return report_html(file.path.name, whole(file, rows))


def _markers(file: StoreReader, rows: list[ChosenRow]) -> str:
    from firmware.journal.markers import otio_text  # noqa: PLC0415 - a library of an extra

    return otio_text(file.path.stem, rows)


def _write_cdls(folder: Path, file: StoreReader, rows: list[ChosenRow], out: TextIO) -> None:
    count = 0
    for _, row in whole(file, rows):
        for name, text in files_of(row):
            _write(folder / name, text, out)
            count += 1
    if not count:
        print("No mark was made in the match view with a camera A: there is no CDL.", file=out)


def _write(path: Path, text: str, out: TextIO) -> None:
    try:
        save(path, text.encode())
    except OSError as fault:
        raise FirmwareError(unsaved(path, "record", fault)) from fault
    print(f"Wrote {path}.", file=out)
