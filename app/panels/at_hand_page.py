"""The pictures at hand: each with a small copy, its name and what of it is lost."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QKeyEvent, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QCheckBox,
    QDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.panels.button import Button
from app.panels.enter_button import ENTER
from app.session import Session
from app.verdicts import Verdict
from proofing.language import tr

_SIZE = QSize(520, 600)
_LEAST = QSize(360, 320)
_ROW = 72
_PICTURE = QSize(84, 60)
_LEFT = 22
_VERDICT = Qt.ItemDataRole.UserRole
_OLD = Qt.ItemDataRole.UserRole + 1
_NOW = Qt.ItemDataRole.UserRole + 2


class AtHandPage(QDialog):
    """Stays beside the window and follows it; the window's keys work here, too."""

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent, Qt.WindowType.Tool)  # such a window leaves its parent the keys
        self.setAttribute(Qt.WidgetAttribute.WA_MacAlwaysShowToolWindow)
        self.setWindowTitle(tr("Pictures at hand"))
        self._session, self._verdicts = session, session.verdicts
        self.heading = QLabel()
        self.heading.setFont(theme.font(15, strong=True))
        self.by_need = QCheckBox(tr("What needs a look first"))
        self.list = _List(self._go)
        self.note = QLabel(
            tr(
                "A first look, on the stock and in the room of the sentence: large pictures are "
                "looked at in blocks spread over them. Open one for its whole verdict."
            )
        )
        self.note.setFont(theme.font(theme.SMALL_PX))
        self.note.setProperty("quiet", True)
        self.close_button = Button(tr("Close"))
        self.close_button.setAutoDefault(False)
        self.close_button.clicked.connect(self.reject)
        for label in (self.heading, self.note):
            label.setWordWrap(True)
        foot = QHBoxLayout()
        foot.addWidget(self.note, 1)
        foot.addWidget(self.close_button, 0, Qt.AlignmentFlag.AlignBottom)
        column = QVBoxLayout(self)
        column.addWidget(self.heading)
        column.addWidget(self.by_need)
        column.addWidget(self.list, 1)
        column.addLayout(foot)
        self.setMinimumSize(_LEAST)
        self.resize(_SIZE.boundedTo(parent.screen().availableSize() - QSize(40, 60)))
        self.by_need.toggled.connect(lambda _: self._show())
        session.verdicts.changed.connect(self._show)
        self.finished.connect(lambda _: session.verdicts.watch(False))
        self.list.setFocus()
        self._show()

    def _go(self, path: str) -> None:
        self._verdicts.go_to(path)

    def _show(self) -> None:
        verdicts = self._verdicts.all
        count, fresh = len(verdicts), self._verdicts.fresh
        if self._verdicts.stopped:
            said = tr("{fresh} of {count} have a verdict. Stopped.", fresh=fresh, count=count)
        elif fresh < count:
            said = tr("{fresh} of {count} have a verdict so far.", fresh=fresh, count=count)
        else:
            said = tr("{count} at hand, each with its verdict.", count=count)
        self.heading.setText(said)
        if self.by_need.isChecked():
            verdicts = tuple(sorted(verdicts, key=lambda one: -one.need))
        now = self._session.state.setting.photograph
        self.list.show_verdicts(verdicts, now, self._verdicts.is_old)


class _List(QListWidget):
    """Rows; a click or Enter goes to the picture."""

    def __init__(self, go: Callable[[str], None]) -> None:
        super().__init__()
        self._go = go
        self.setAccessibleName(tr("Pictures at hand"))
        self.setItemDelegate(_Rows(self))
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.itemClicked.connect(self._choose)

    def show_verdicts(
        self, verdicts: tuple[Verdict, ...], now: str, is_old: Callable[[Verdict], bool]
    ) -> None:
        """Show rows; the current one stays with its picture, at first with the one in front."""
        current = self.currentItem()
        held = now if current is None else current.data(_VERDICT).path
        self.blockSignals(True)
        self.clear()
        for verdict in verdicts:
            item = QListWidgetItem(_told(verdict, is_now=verdict.path == now))
            item.setData(_VERDICT, verdict)
            item.setData(_OLD, is_old(verdict))
            item.setData(_NOW, verdict.path == now)
            item.setToolTip(" ".join(part for part in (verdict.path, verdict.note) if part))
            self.addItem(item)
            if verdict.path == held:
                self.setCurrentItem(item)
        self.blockSignals(False)

    def _choose(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self._go(item.data(_VERDICT).path)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER:
            self._choose(self.currentItem())
        else:
            super().keyPressEvent(event)


def _told(verdict: Verdict, *, is_now: bool) -> str:
    """All of a row in words."""
    parts = [Path(verdict.path).name, verdict.words or tr("not looked at yet"), verdict.note]
    return ", ".join([*(part for part in parts if part), *([tr("in front")] if is_now else [])])


class _Rows(QStyledItemDelegate):
    """Draws a row: the small copy, the name, the verdict, and what is to be known of the file."""

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        return QSize(200, _ROW)

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        verdict: Verdict = index.data(_VERDICT)
        box: QRect = option.rect
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.setPen(Qt.PenStyle.NoPen)
        if option.state & QStyle.StateFlag.State_Selected:
            painter.setBrush(QColor(theme.CHOSEN))
            painter.drawRoundedRect(box.adjusted(2, 1, -2, -1), 4, 4)
        if index.data(_NOW):
            painter.setBrush(QColor(theme.TEXT))
            painter.drawEllipse(QRectF(box.left() + 10, box.center().y() - 2, 5, 5))
        place = QRect(box.left() + _LEFT, box.top() + 6, _PICTURE.width(), _PICTURE.height())
        self._draw_picture(painter, place, verdict)
        left = place.right() + 12
        line = QRect(left, box.top() + 8, box.right() - left - 8, 18)
        verdict_words = verdict.words or tr("Not looked at yet")
        old = index.data(_OLD) and verdict.is_known
        for words, strong, colour in (
            (Path(verdict.path).name, True, theme.TEXT),
            (verdict_words, False, theme.FAINT if old else theme.TEXT),
            (verdict.note, False, "#dcdcdc"),
        ):
            painter.setFont(theme.font(theme.BODY_PX if strong else theme.SMALL_PX, strong=strong))
            painter.setPen(QColor(colour))
            shown = painter.fontMetrics().elidedText(
                words, Qt.TextElideMode.ElideRight, line.width()
            )
            painter.drawText(line, Qt.AlignmentFlag.AlignVCenter, shown)
            line.translate(0, 19)
        painter.restore()

    @staticmethod
    def _draw_picture(painter: QPainter, place: QRect, verdict: Verdict) -> None:
        pixels = verdict.thumbnail
        if pixels is None:
            painter.fillRect(place, QColor(theme.CARD))
            return
        height, width = pixels.shape[:2]
        image = QImage(pixels.data, width, height, 3 * width, QImage.Format.Format_RGB888)
        size = QSize(width, height).scaled(place.size(), Qt.AspectRatioMode.KeepAspectRatio)
        at = QRect(place.topLeft(), size)
        at.moveCenter(place.center())
        painter.drawImage(at, image)
