"""Many photographs in one run: several processes, a journal, a summary, what needs a look first.

Here the options of the command line; light to import, the work comes with :mod:`app.many.run`.
"""

from __future__ import annotations

import argparse

from proofing.language import mark, tr

ABOUT = mark(
    " Several PHOTOs or a FOLDER are a run of many: what needs a look first is told on top, in "
    "summary.csv and summary.html beside the output, and the same command goes on where it was "
    "stopped. The exit status is 0 when every file could be worked on, else 2, and 130 when "
    "stopped."
)


def add_photographs(parser: argparse.ArgumentParser) -> None:
    """One photograph, several, or folders of them."""
    parser.add_argument(
        "photographs",
        nargs="+",
        metavar="PHOTO|FOLDER",
        help=tr("the picture file; several, or a folder, for a run of many"),
    )


def add_folder(parser: argparse.ArgumentParser) -> None:
    """Where a run that makes no files of its own is summed up."""
    parser.add_argument(
        "--output",
        "-o",
        metavar="FOLDER",
        help=tr(
            "the folder for the summary and the ranking of many; without it they are only printed"
        ),
    )
    parser.add_argument(
        "--overwrite",
        action="store_true",
        help=tr("replace a summary that is of other photographs or settings"),
    )


def add_options(parser: argparse.ArgumentParser) -> None:
    """What only a run of many has."""
    group = parser.add_argument_group(tr("many photographs"))
    group.add_argument(
        "--subfolders", action="store_true", help=tr("go through the folders in a FOLDER, too")
    )
    group.add_argument(
        "--processes",
        metavar="N",
        type=_count,
        help=tr(
            "how many to work in; at the start one for each core, as far as the memory reaches"
        ),
    )


def _count(text: str) -> int:
    if text.isascii() and text.isdigit() and 1 <= int(text) <= _MOST_PROCESSES:
        return int(text)
    raise argparse.ArgumentTypeError(
        tr("'{text}' is no number of processes; use 1 to {most}", text=text, most=_MOST_PROCESSES)
    )


_MOST_PROCESSES = 64
