"""The program's own icons, drawn from resources/icons at any size."""

from __future__ import annotations

import functools

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

from app.icons_source import APPLICATION, icon_source

_SIZES = {APPLICATION: (16, 24, 32, 48, 64, 128, 256)}
_SMALL = (16, 32)  # for a scale of 1 and 2


@functools.lru_cache(maxsize=32)
def icon(name: str) -> QIcon:
    """An icon by the name of its file, which is that of its command; empty where there is none."""
    made, data = QIcon(), icon_source(name)
    if data is None:
        return made
    renderer = QSvgRenderer(QByteArray(data))
    for side in _SIZES.get(name, _SMALL):
        picture = QPixmap(side, side)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        renderer.render(painter, QRectF(0, 0, side, side))
        painter.end()
        made.addPixmap(picture)
    return made
