"""The icons as they are stored; free of the toolkit."""

from __future__ import annotations

from importlib import resources

APPLICATION = "stocklight"


def icon_source(name: str) -> bytes | None:
    """The SVG of an icon; None where there is none of that name."""
    file = resources.files("resources") / "icons" / f"{name}.svg"
    return file.read_bytes() if file.is_file() else None
