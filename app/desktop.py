"""The program's place in the menu of applications of a free desktop (Linux)."""

from __future__ import annotations

import os
import re
import sys
from importlib import resources
from pathlib import Path

from app.files import atomic_output
from app.icons_source import APPLICATION, icon_source
from proofing.errors import OutputError
from proofing.language import tr


def data_home() -> Path:
    """Where a user's applications and icons are (XDG Base Directory Specification)."""
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")


def entry(command: str) -> str:
    """The desktop entry (Desktop Entry Specification 1.5) that starts a command.

    Parameters
    ----------
    command
        Path of the program.

    Examples
    --------
    >>> [line for line in entry("/opt/a b/stocklight").splitlines() if line.startswith("Exec")]
    ['Exec="/opt/a b/stocklight" view %f']
    """
    text = (resources.files("resources") / "desktop" / "stocklight.desktop").read_text("utf-8")
    quoted = command.replace("%", "%%")
    if re.search(r"[^\w@%+=:,./-]", command):
        escaped = re.sub(r'(["`$\\])', r"\\\1", quoted)  # within quotes...
        quoted = '"' + escaped.replace("\\", "\\\\") + '"'  # ...within a string
    return text.replace("Exec=stocklight ", f"Exec={quoted} ")


def add_to_menu(program: str | None = None) -> tuple[Path, Path]:
    """Write the desktop entry and the icon into the user's folders.

    Parameters
    ----------
    program
        Path of the program; the one that runs where not given.

    Returns
    -------
    tuple of Path
        The entry and the icon.

    Raises
    ------
    OutputError
        When they cannot be written.
    """
    command = str(Path(program or sys.argv[0]).resolve())
    made = (
        (data_home() / "applications" / "stocklight.desktop", entry(command).encode()),
        (
            data_home() / "icons" / "hicolor" / "scalable" / "apps" / f"{APPLICATION}.svg",
            icon_source(APPLICATION) or b"",
        ),
    )
    for path, content in made:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OutputError(
                tr(
                    "{parent} cannot be made ({strerror})",
                    parent=path.parent,
                    strerror=error.strerror,
                ),
                path,
            ) from error
        with atomic_output(path) as part:
            part.write_bytes(content)
    return made[0][0], made[1][0]
