"""The table of compared stocks: a row each, the best first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from app import theme
from app.panels.enter_button import ENTER
from app.panels.why_card import WhyButton
from proofing.findings.words import share_in_words
from proofing.language import mark, tr

if TYPE_CHECKING:
    from proofing.ordering.comparison import Comparison, StockResult

ROW = 38
"""Height of a row, logical pixels."""
_HEAD = 26
_EDGE = 8
_RING = 20  # of a heading, for the ring that asks why
_BAR = QSize(60, 5)
_BAR_LEAST = 20  # a shorter one says nothing
_NAMES_LEAST, _POINTS_ALONE = 136, 74
_SIGN_LEFT, _PLACE_LEFT, _NAME_LEFT = 10, 22, 42
_CELL = Qt.ItemDataRole.UserRole
_FACT = "#dcdcdc"  # text that also stands on a chosen row


@dataclass(frozen=True)
class Column:
    """A column.

    Attributes
    ----------
    title
        Its heading.
    why
        Id of what explains it; '' for the names.
    width
        Logical pixels; the names take the rest.
    """

    title: str
    why: str
    width: int


COLUMNS = (
    Column(mark("Stock"), "", 0),
    Column(mark("Points"), "stock_points", 122),
    Column(mark("Detail lost"), "stock_detail", 118),
    Column(mark("Contrast"), "stock_contrast", 110),
    Column(mark("Colour"), "stock_colour", 112),
    Column(mark("Glare"), "stock_glare", 92),
    Column(mark("Surface"), "stock_surface", 112),
)
"""The columns that people ask for, in the order of the sentences below the table."""


@dataclass(frozen=True)
class Cell:
    """What stands in a cell.

    Attributes
    ----------
    value
        The number with its unit, or the name.
    more
        A quiet line below it.
    best
        Whether it is the best of its column.
    points
        Of 100, drawn as a bar; None for no bar.
    place
        In the order, counted from 1; 0 for no place.
    now
        Whether it is the stock of the sentence.
    """

    value: str
    more: str = ""
    best: bool = False
    points: float | None = None
    place: int = 0
    now: bool = False

    @property
    def words(self) -> str:
        """All of it, for those who do not see it."""
        own = tr("in the sentence now") if self.now else ""
        return ", ".join(part for part in (self.value, self.more, own) if part)


def rows_of(comparison: Comparison, now: StockResult | None) -> list[tuple[Cell, ...]]:
    """The cells of a comparison, a row for each stock and a cell for each of :data:`COLUMNS`.

    Parameters
    ----------
    comparison
        What was measured.
    now
        The result of the stock in the sentence, if it is among them.
    """
    from proofing.ordering.comparison_words import value_in_words
    from proofing.ordering.ranking import Criterion

    shown = (
        Criterion.DETAIL, Criterion.CONTRAST, Criterion.COLOUR, Criterion.GLARE, Criterion.SURFACE,
    )  # fmt: skip
    ranked = comparison.ranked
    best = {}
    for criterion in shown:
        values = [value_in_words(criterion, result) for result in ranked]
        first = max(range(len(ranked)), key=lambda i: ranked[i].marks[criterion])
        best[criterion] = values[first] if len(set(values)) > 1 else ""
    rows = []
    for place, result in enumerate(ranked, start=1):
        more = _more_of(result)
        cells = [_name_of(result, place, is_now=result is now), _points_of(result)]
        for criterion in shown:
            value = value_in_words(criterion, result)
            cells.append(Cell(value, more[criterion], best=value == best[criterion]))
        rows.append(tuple(cells))
    return rows


def _name_of(result: StockResult, place: int, *, is_now: bool) -> Cell:
    stock = result.stock
    standing = tr("measured")
    if stock.typical:
        standing = tr("typical values")
    elif stock.kind == "profiled":
        standing = tr("colours measured, surface typical")
    return Cell(tr(stock.name), standing, place=place, now=is_now)


def _points_of(result: StockResult) -> Cell:
    from proofing.ordering.comparison_words import standing_in_words

    points = tr("{points:.1f}", points=result.score)
    return Cell(points, standing_in_words(result), points=result.score)


def _more_of(result: StockResult) -> dict[str, str]:
    """The quiet second lines, by criterion."""
    from proofing.ordering.comparison_words import surface_in_words
    from proofing.ordering.ranking import Criterion

    return {
        Criterion.DETAIL: tr("{share} weak", share=share_in_words(result.weakened)),
        Criterion.CONTRAST: tr("{stops:.1f} stops lost", stops=result.contrast.lost_stops),
        Criterion.COLOUR: tr("worst 5 %: {off:.1f}", off=result.delta_E_95),
        Criterion.GLARE: tr("of bare paper"),
        Criterion.SURFACE: surface_in_words(result.stock),
    }


class StockTable(QTableWidget):
    """Rows to go through with the arrows.

    Signals
    -------
    wanted : int
        The row chosen with Enter or a double click.
    """

    wanted = Signal(int)

    def __init__(self) -> None:
        super().__init__(0, len(COLUMNS))
        self.is_old = False
        self._held = ""  # the stock that a person has gone to; else the first row stays current
        self.setAccessibleName(tr("Stocks, the best first"))
        self.setItemDelegate(_Cells(self))
        self.headings = _Headings(self)
        self.setHorizontalHeader(self.headings)
        self.setHorizontalHeaderLabels([tr(column.title) for column in COLUMNS])
        self.headings.place()
        rows = self.verticalHeader()
        rows.hide()
        rows.setDefaultSectionSize(ROW)
        rows.setMinimumSectionSize(ROW)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setStyleSheet(
            "QTableWidget { background: transparent; border: 1px solid transparent;"
            "border-radius: 4px; outline: none; }"
            f"QTableWidget:focus {{ border: 1px solid {theme.FOCUS}; }}"
            "QHeaderView { background: transparent; border: none; }"
        )
        self.currentCellChanged.connect(lambda row, *_: self._hold(row))
        self.itemDoubleClicked.connect(lambda item: self.wanted.emit(item.row()))

    def show_rows(self, rows: Sequence[tuple[Cell, ...]], *, is_old: bool) -> None:
        """Show rows; the current one stays with the stock that somebody has gone to."""
        self.is_old = is_old
        self.blockSignals(True)
        self.setRowCount(len(rows))
        for number, cells in enumerate(rows):
            for column, cell in enumerate(cells):
                item = QTableWidgetItem(cell.words)
                item.setData(_CELL, cell)
                self.setItem(number, column, item)
        names = [cells[0].value for cells in rows]
        at = names.index(self._held) if self._held in names else 0
        self.setCurrentCell(at if rows else -1, 0)
        self.blockSignals(False)
        self.setMaximumHeight(self.sizeHint().height())  # what is below takes the rest
        self.updateGeometry()
        self.viewport().update()

    def _hold(self, row: int) -> None:
        item = self.item(row, 0)
        self._held = "" if item is None else item.data(_CELL).value

    def sizeHint(self) -> QSize:
        return QSize(820, _HEAD + ROW * max(self.rowCount(), 3) + 4)

    def minimumSizeHint(self) -> QSize:
        return QSize(640, _HEAD + 2 * ROW + 4)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        rest = self.viewport().width() - _NAMES_LEAST
        widths = {number: column.width for number, column in enumerate(COLUMNS)}
        if sum(widths.values()) > rest:  # a narrow page: the bars go first
            widths[1] = _POINTS_ALONE
            shrunk = min(1.0, (rest - widths[1]) / (sum(widths.values()) - widths[1]))
            widths |= {
                number: int(width * shrunk) for number, width in widths.items() if number > 1
            }
        widths[0] = self.viewport().width() - sum(widths.values())
        for number, width in widths.items():
            self.setColumnWidth(number, width)
        self.headings.place()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER and self.currentRow() >= 0:
            self.wanted.emit(self.currentRow())
        elif event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            event.ignore()  # a row is one thing
        else:
            super().keyPressEvent(event)


class _Headings(QHeaderView):
    """Column titles, each number's with its ring."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setSectionsClickable(False)
        self.setMinimumSectionSize(20)
        self.setFixedHeight(_HEAD)
        self.rings = {
            number: WhyButton(column.why, self)
            for number, column in enumerate(COLUMNS)
            if column.why
        }

    def place(self) -> None:
        """Put each ring behind its title."""
        metrics = self.fontMetrics()
        for number, ring in self.rings.items():
            title = metrics.horizontalAdvance(tr(COLUMNS[number].title))
            room = self.sectionSize(number) - _EDGE - ring.width()
            left = self.sectionViewportPosition(number) + _EDGE + min(title + 6, room)
            ring.move(left, (_HEAD - ring.height()) // 2)

    def paintSection(self, painter: QPainter, rect: QRect, logicalIndex: int) -> None:
        painter.save()
        painter.setFont(theme.font(theme.SMALL_PX))
        painter.setPen(QColor(theme.QUIET))
        left = _NAME_LEFT if logicalIndex == 0 else _EDGE
        room = rect.adjusted(left, 0, 0 if logicalIndex == 0 else -_RING, 0)
        title = tr(COLUMNS[logicalIndex].title)
        words = painter.fontMetrics().elidedText(title, Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, words)
        painter.setPen(QColor(theme.LINE))
        painter.drawLine(rect.bottomLeft(), rect.bottomRight())
        painter.restore()


class _Cells(QStyledItemDelegate):
    """Draws a cell: the value, and a quiet line below it."""

    def __init__(self, table: StockTable) -> None:
        super().__init__(table)
        self._table = table

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        cell: Cell | None = index.data(_CELL)
        if cell is None:
            return
        box: QRect = option.rect
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        if option.state & QStyle.StateFlag.State_Selected:
            self._draw_ground(painter, box, index.column())
        left = _NAME_LEFT if cell.place else _EDGE
        if cell.now:
            painter.setBrush(QColor(theme.TEXT))
            painter.drawEllipse(QRectF(box.left() + _SIGN_LEFT, box.top() + 11, 5, 5))
        upper = QRect(box.left() + left, box.top() + 3, box.width() - left - 2, 17)
        lower = upper.translated(0, 16)
        middle = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        strong = (cell.best or cell.place > 0) and not self._table.is_old
        painter.setFont(theme.font(theme.BODY_PX, strong=strong, tabular=True))
        painter.setPen(QColor(_FACT if self._table.is_old else theme.TEXT))
        if cell.place:
            place = QRect(box.left() + _PLACE_LEFT, upper.top(), 18, upper.height())
            painter.drawText(place, middle, str(cell.place))
        painter.drawText(upper, middle, self._fitted(painter, cell.value, upper.width()))
        if cell.points is not None:
            self._draw_bar(painter, upper, cell.points)
        painter.setFont(theme.font(theme.SMALL_PX, tabular=True))
        painter.setPen(QColor(_FACT))
        painter.drawText(lower, middle, self._fitted(painter, cell.more, lower.width()))
        painter.restore()

    def _draw_ground(self, painter: QPainter, box: QRect, column: int) -> None:
        """The chosen row, round at its two ends."""
        painter.setBrush(QColor(theme.CHOSEN))
        first, last = column == 0, column == len(COLUMNS) - 1
        painter.save()
        painter.setClipRect(box)
        wide = box.adjusted(2 if first else -8, 1, -2 if last else 8, -1)
        painter.drawRoundedRect(wide, 4, 4)
        painter.restore()

    @staticmethod
    def _draw_bar(painter: QPainter, line: QRect, points: float) -> None:
        left = line.left() + 36
        width = min(_BAR.width(), line.right() - left - 6)
        if width < _BAR_LEAST:
            return
        whole = QRectF(left, line.center().y() - _BAR.height() / 2 + 1, width, _BAR.height())
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(theme.FIELD))
        painter.drawRect(whole)
        whole.setWidth(width * min(max(points / 100.0, 0.0), 1.0))
        painter.setBrush(QColor(theme.QUIET))
        painter.drawRect(whole)

    @staticmethod
    def _fitted(painter: QPainter, text: str, width: int) -> str:
        return painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, width)
