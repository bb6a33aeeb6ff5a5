"""Which photographs a run is about, and what each of them will be written to."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.files import PICTURE_ENDINGS
from proofing.errors import OutputError, PhotographError, SettingError
from proofing.language import tr
from proofing.ordering.natural import natural_path_key

if TYPE_CHECKING:
    from app.state import Setting
    from proofing.catalogue import Catalogue
    from proofing.photograph import Photograph


@dataclass(frozen=True)
class Source:
    """A photograph before it is worked on.

    Attributes
    ----------
    path
        Its file, as it was given.
    pixels
        How many; 0 where its head cannot be read.
    output
        What it is to be written to; None for a comparison, or where that cannot be told.
    """

    path: Path
    pixels: int = 0
    output: Path | None = None


def pictures_of(
    names: Sequence[str], *, subfolders: bool = False, leave_out: Path | None = None
) -> list[Path]:
    """Files, and in the place of a folder the pictures in it, in natural order; none twice.

    Parameters
    ----------
    names
        Of files and folders.
    subfolders
        Whether the folders in a folder are gone through, too. Hidden ones never are.
    leave_out
        A folder that is not gone through: the output's.

    Raises
    ------
    PhotographError
        A folder holds none, or cannot be read.
    """
    found: dict[Path, Path] = {}
    for name in names:
        path = Path(name)
        inside = _in_folder(path, subfolders, leave_out) if path.is_dir() else [path]
        for each in inside:
            found.setdefault(each.absolute(), each)
    return list(found.values())


def _in_folder(folder: Path, subfolders: bool, leave_out: Path | None) -> list[Path]:
    found: list[Path] = []
    try:
        with os.scandir(folder) as entries:
            inner = [entry for entry in entries if not entry.name.startswith(".")]
    except OSError as error:
        raise PhotographError(
            tr(
                "the folder {folder} cannot be read ({reason}); check its permissions",
                folder=folder,
                reason=error.strerror,
            ),
            folder,
        ) from error
    for entry in inner:
        path = folder / entry.name
        if entry.is_file() and path.suffix.lower() in PICTURE_ENDINGS:
            found.append(path)
        elif subfolders and entry.is_dir(follow_symlinks=False) and not _same(path, leave_out):
            found += _pictures_below(path, leave_out)
    if not found:
        raise PhotographError(
            tr(
                "there is no picture in {folder} (JPEG, PNG, TIFF or WebP); name another folder, "
                "or add --subfolders to look into its folders too",
                folder=folder,
            ),
            folder,
        )
    return sorted(found, key=natural_path_key)


def _pictures_below(folder: Path, leave_out: Path | None) -> list[Path]:
    try:
        return _in_folder(folder, True, leave_out)
    except PhotographError:  # an empty one among others is none to speak of
        return []


def _same(one: Path, other: Path | None) -> bool:
    return other is not None and one.absolute() == other.absolute()


_OF_A_PICTURE = ("size", "kind", "edge", "margins")
"""What can be wrong for one picture and right for the others."""


def planned(
    path: Path,
    setting: Setting,
    catalogue: Catalogue,
    arguments: argparse.Namespace,
    *,
    is_order: bool,
) -> Source:
    """What a photograph will become, from the head of its file.

    Raises
    ------
    ProofingError
        What is wrong is the setting or the pattern, not the photograph.
    """
    from proofing.photograph.reading import read_outline

    try:
        width, height = read_outline(path)
    except PhotographError:  # told when it is its turn, so that the others go on
        return Source(path)
    if not is_order:
        return Source(path, width * height)
    from app.job import prepare
    from app.ordering import ordered

    there = stand_in(path, width, height)
    try:
        job = prepare(setting.change(photograph=str(path)), catalogue, there)
        _, output = ordered(job, Path(arguments.output), arguments)
    except SettingError as error:
        if error.field not in _OF_A_PICTURE:
            raise
        return Source(path, width * height)
    return Source(path, width * height, output)


def stand_in(path: Path, width: int, height: int) -> Photograph:
    """A photograph of a size whose pixels have not been read: for measures and names."""
    import numpy as np

    from proofing.photograph import ClipCodes, Encoding, IntakeFacts, Photograph
    from proofing.photograph.icc import srgb_profile

    facts = IntakeFacts(
        width=width, height=height, mode="RGB", bits=8, is_float=False, space="", profile=None,
        profile_status="assumed", note="", ppi=None, orientation_applied=False, has_alpha=False,
        channels=(), share_clipped=0.0,
    )  # fmt: skip
    return Photograph(
        path=path,
        name=path.name,
        codes=np.broadcast_to(np.zeros((), np.uint8), (height, width, 3)),
        alpha=None,
        encoding=Encoding("RGB", srgb_profile()),
        facts=facts,
        key=f"unread:{path}",
        clip=ClipCodes((0.0, 0.0, 0.0), (255.0, 255.0, 255.0)),
    )


def refuse_shared_names(sources: Iterable[Source]) -> None:
    """Raise :class:`~proofing.errors.OutputError` when two photographs would become one file."""
    taken: dict[str, Source] = {}
    for source in sources:
        if source.output is None:
            continue
        # some file systems do not tell capitals from small letters
        other = taken.setdefault(str(source.output.absolute()).casefold(), source)
        if other is not source:
            raise OutputError(
                tr(
                    "{one} and {other} would both be written as {output}; rename one of them, or "
                    "order them into two folders",
                    one=other.path,
                    other=source.path,
                    output=source.output.name,
                ),
                source.output,
            )


def refuse_sources_as_outputs(sources: Sequence[Source]) -> None:
    """Raise :class:`~proofing.errors.OutputError` when an order would replace a photograph."""
    files = {identity for source in sources if (identity := _identity(source.path)) is not None}
    for source in sources:
        if source.output is None:
            continue
        if _identity(source.output) in files:
            raise OutputError(
                tr(
                    "{output} is a photograph of this run; choose another name or folder for the "
                    "order files",
                    output=source.output,
                ),
                source.output,
            )


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino
