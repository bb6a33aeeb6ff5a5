"""The sentence: running text whose phrases are the controls.

Words are set one after the other and wrap like any text; a phrase is a button that never breaks.
The view owns no truth: it shows the pieces it is given and says which phrase was asked for.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetrics,
    QFontMetricsF,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from app import theme
from proofing.language import tr

PAD = 4  # either side of a phrase's text
_BEFORE, _AFTER = 2, 2  # free beside it, so that its frame and fill touch no other letter
_FRAME = 1  # of them, from the text
_SIZES = ((2200, 21), (1400, 18), (560, 16), (0, 14))  # from this width of the view on, this type
_SPARE = "with all marks but clipped in the file"
"""The usual addition, for which room is kept: it must not move the pictures."""


@dataclass(frozen=True)
class Piece:
    """Some words of the sentence; with a ``key`` they are a phrase that opens a chooser."""

    text: str
    key: str | None = None
    title: str = ""


def type_size(width: int) -> int:
    """The sentence's type for a width, logical pixels."""
    return next(size for least, size in _SIZES if width >= least)


def _line_height(size: int) -> int:
    """Of a line of that type."""
    return size + (14 if size >= 16 else 10)


class PhraseButton(QAbstractButton):
    """A phrase. Enter, Space or Down opens its chooser."""

    def __init__(self, piece: Piece, parent: QWidget) -> None:
        super().__init__(parent)
        self.key = piece.key or ""
        self.setFont(theme.font(theme.SENTENCE_PX, strong=True))
        # Not by a click: that must not take the focus from an open chooser before the phrase knows.
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setCheckable(True)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.show_piece(piece)

    def show_piece(self, piece: Piece) -> None:
        """The same phrase with other words."""
        self.setText(piece.text)
        self.setAccessibleName(f"{piece.title}: {piece.text}" if piece.title else piece.text)
        self.setProperty("why", piece.key or "")
        self.setAccessibleDescription(
            tr("Opens the choice of {setting}", setting=piece.title.lower())
            if piece.title
            else tr("Opens the choice of this phrase")
        )

    def sizeHint(self) -> QSize:
        return QSize(_advance(self.font(), self.text()) + 2 * PAD, 28)

    def nextCheckState(self) -> None:
        """Whether a phrase is open is not the button's to decide."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Down):
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = self.rect().adjusted(PAD - _FRAME, 1, _FRAME - PAD, -1)
        if self.isChecked() or self.underMouse() or self.isDown():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(theme.CHOSEN if self.isChecked() else theme.RAISED))
            painter.drawRoundedRect(box, 4, 4)
        painter.setFont(self.font())
        metrics = self.fontMetrics()
        painter.setPen(QColor(theme.TEXT))
        width = self.width() - 2 * PAD
        text = metrics.elidedText(self.text(), Qt.TextElideMode.ElideMiddle, width)
        baseline = _baseline(self.height(), metrics)
        painter.drawText(QPoint(PAD, baseline), text)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        lit = self.underMouse() or self.isChecked()
        painter.setPen(QPen(QColor(theme.QUIET if lit else "#909090"), 1))
        line = baseline + 4
        painter.drawLine(PAD, line, PAD + metrics.horizontalAdvance(text), line)
        if self.hasFocus():
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(QColor(theme.FOCUS), 1.5))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(box, 4, 4)
        painter.end()


def _advance(font: QFont, text: str) -> int:
    """Whole pixels that surely hold the text; the integer metrics round down."""
    return math.ceil(QFontMetricsF(font).horizontalAdvance(text)) + 1


def _baseline(height: int, metrics: QFontMetrics) -> int:
    return (height + metrics.capHeight()) // 2 - 1


class SentenceView(QWidget):
    """The sentence, wrapped to the width it has.

    Signals
    -------
    asked : str
        The key of the phrase whose chooser is wanted.
    """

    asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pieces: tuple[Piece, ...] = ()
        self._buttons: dict[str, PhraseButton] = {}
        self._words: list[tuple[QPoint, str]] = []
        self._small = False
        self._before: QWidget | None = None
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setFont(theme.font(theme.SENTENCE_PX))
        self.setAccessibleName(tr("What is shown"))

    def comes_after(self, widget: QWidget) -> None:
        """Tab goes from there to the first phrase."""
        self._before = widget

    def show_pieces(self, pieces: Sequence[Piece]) -> None:
        """Set the sentence. Phrases keep their buttons, and so the keyboard focus."""
        pieces = tuple(pieces)
        if pieces == self._pieces:
            return
        self._pieces = pieces
        wanted = {piece.key for piece in pieces if piece.key}
        for key in [key for key in self._buttons if key not in wanted]:
            self._buttons.pop(key).deleteLater()
        held = self._before
        before = held if held is not None and held.window() is self.window() else None
        for piece in pieces:
            if not piece.key:
                continue
            button = self._buttons.get(piece.key)
            if button is None:
                button = PhraseButton(piece, self)
                button.clicked.connect(lambda _=False, key=piece.key: self.asked.emit(key))
                button.show()
                self._buttons[piece.key] = button
            else:
                button.show_piece(piece)
            if before is not None:
                QWidget.setTabOrder(before, button)
            before = button
        self.setAccessibleDescription(self.text())
        self._arrange()
        self.updateGeometry()
        self.update()

    def text(self) -> str:
        """The whole sentence as plain text."""
        return "".join(piece.text for piece in self._pieces)

    def phrase(self, key: str) -> PhraseButton | None:
        """The button of a phrase; None where the sentence does not have it now."""
        return self._buttons.get(key)

    def keys(self) -> tuple[str, ...]:
        """The phrases in reading order."""
        return tuple(piece.key for piece in self._pieces if piece.key)

    def show_open(self, key: str | None) -> None:
        """Which phrase's chooser is open."""
        for name, button in self._buttons.items():
            button.setChecked(name == key)

    # ---- setting the words

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return self._flow(width, self._pieces)[1]

    def spare(self, width: int) -> int:
        """Height that the usual addition would add, to be kept free by what is around."""
        if "marks" in self.keys():
            return 0
        pieces = (*self._pieces, Piece(" "), Piece(_SPARE, "marks"))
        return self._flow(width, pieces)[1] - self.heightForWidth(width)

    def line_height(self, width: int) -> int:
        """Height of one line in a width."""
        return _line_height(self._type_size(width))

    def show_small(self, small: bool) -> None:
        """In the smallest type, whatever the width."""
        if small != self._small:
            self._small = small
            self._arrange()
            self.updateGeometry()

    def _type_size(self, width: int) -> int:
        return type_size(0 if self._small else width)

    def sizeHint(self) -> QSize:
        return QSize(720, self.heightForWidth(720))

    def minimumSizeHint(self) -> QSize:
        return QSize(240, _line_height(type_size(0)))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _flow(
        self, width: int, pieces: Sequence[Piece]
    ) -> tuple[list[tuple[QRect, str, str | None]], int]:
        """Boxes of words and phrases, and the height they take."""
        size = self._type_size(width)
        line = _line_height(size)
        width = max(width - 2 * PAD, 80)
        plain, strong = theme.font(size), theme.font(size, strong=True)
        blank = QFontMetrics(plain).horizontalAdvance(" ")
        boxes: list[tuple[QRect, str, str | None]] = []
        x, y = 0, 0
        for run in _runs(pieces):
            lengths = [_advance(strong if key else plain, text) for text, key in run]
            keys = sum(1 for _, key in run if key)
            if x > 0 and x + sum(lengths) + (_BEFORE + _AFTER) * keys > width:
                x, y = 0, y + line
            for (text, key), length in zip(run, lengths, strict=True):
                if key:
                    x += _BEFORE if x > 0 else 0
                    length = min(length, width)
                    boxes.append((QRect(x, y + 2, length + 2 * PAD, line - 4), text, key))
                    length += _AFTER
                else:
                    boxes.append((QRect(x + PAD, y, length, line), text, None))
                x += length
            x += blank
        return boxes, y + line

    def _arrange(self) -> None:
        boxes, _ = self._flow(self.width(), self._pieces)
        size = self._type_size(self.width())
        self.setFont(theme.font(size))
        metrics = self.fontMetrics()
        self._words = []
        for box, text, key in boxes:
            if key:
                self._buttons[key].setFont(theme.font(size, strong=True))
                self._buttons[key].setGeometry(box)
            else:
                baseline = box.y() + _baseline(box.height(), metrics)
                self._words.append((QPoint(box.x(), baseline), text))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setFont(self.font())
        painter.setPen(QColor(theme.QUIET))
        for at, text in self._words:
            painter.drawText(at, text)
        painter.end()


def _runs(pieces: Sequence[Piece]) -> list[list[tuple[str, str | None]]]:
    """Unbreakable runs: a word, or a phrase with the comma that follows it.

    >>> _runs([Piece("On "), Piece("smooth matte", "stock"), Piece(", at night.")])
    [[('On', None)], [('smooth matte', 'stock'), (',', None)], [('at', None)], [('night.', None)]]
    """
    runs: list[list[tuple[str, str | None]]] = []
    glued = False  # whether the next word joins the run before it
    for piece in pieces:
        if piece.key:
            part: tuple[str, str | None] = (piece.text, piece.key)
            if glued and runs:
                runs[-1].append(part)
            else:
                runs.append([part])
            glued = True
            continue
        for index, word in enumerate(piece.text.split(" ")):
            if index > 0:
                glued = False
            if not word:
                continue
            if glued and runs:
                runs[-1].append((word, None))
            else:
                runs.append([(word, None)])
            glued = True
    return runs
