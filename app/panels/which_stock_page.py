"""Which stock: all of them on this picture in this room, in an order, with what each gives."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.panels.button import Button
from app.panels.stock_table import StockTable, rows_of
from app.panels.why_card import WhyButton
from app.session import Session
from proofing.language import tr

if TYPE_CHECKING:
    from proofing.ordering.comparison import Comparison, StockResult
    from proofing.ordering.ranking import Criterion

_SIZE = QSize(900, 700)
_LEAST = QSize(720, 460)


class WhichStockPage(QDialog):
    """Stays beside the window and follows picture and room; the window's keys work here, too.

    Signals
    -------
    save_wanted : ()
        The table is to be written to a file.
    """

    save_wanted = Signal()

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent, Qt.WindowType.Tool)  # such a window leaves its parent the keys
        self.setAttribute(Qt.WidgetAttribute.WA_MacAlwaysShowToolWindow)
        self.setWindowTitle(tr("Which stock suits this picture"))
        self._session, self._which = session, session.which_stock
        self._drawn: tuple[object, ...] = ()
        self.heading, self.conclusion = QLabel(), QLabel()
        self.character = QLabel()
        self.table = StockTable()
        self.state = QLabel()
        self.details = _Details()
        self.note = QLabel()
        self._make_buttons()
        self._lay_out()
        self.setMinimumSize(_LEAST)
        self.resize(_SIZE.boundedTo(parent.screen().availableSize() - QSize(40, 60)))
        self.table.currentCellChanged.connect(lambda *_: self._show_row())
        self.table.wanted.connect(self._take)
        self._which.changed.connect(self._show)
        session.changed.connect(self._show)
        self.finished.connect(lambda _: self._which.watch(False))
        self.table.setFocus()
        self._show()

    def _make_buttons(self) -> None:
        self.again = Button(tr("Go on comparing"))
        self.take = Button(tr("Print on this stock"))
        self.save = Button(tr("Save the table…"))
        self.close_button = Button(tr("Close"))
        for button, then in (
            (self.again, self._which.go_on),
            (self.take, lambda: self._take(self.table.currentRow())),
            (self.save, self.save_wanted.emit),
            (self.close_button, self.reject),
        ):
            button.setAutoDefault(False)
            button.clicked.connect(then)

    def _lay_out(self) -> None:
        self.heading.setFont(theme.font(15, strong=True))
        for label in (self.character, self.state, self.note):
            label.setFont(theme.font(theme.SMALL_PX))
            label.setProperty("quiet", True)
        for label in (self.heading, self.conclusion, self.character, self.state, self.note):
            label.setWordWrap(True)
        self.heading.setProperty("why", "stock_points")
        top = QHBoxLayout()
        top.addWidget(self.heading, 1)
        top.addWidget(WhyButton("stock_points"), 0, Qt.AlignmentFlag.AlignTop)
        state = QHBoxLayout()
        state.addWidget(self.state, 1)
        state.addWidget(self.again)
        foot = QHBoxLayout()
        foot.addWidget(self.note, 1)
        for button in (self.save, self.take, self.close_button):
            foot.addWidget(button, 0, Qt.AlignmentFlag.AlignBottom)
        column = QVBoxLayout(self)
        column.setSpacing(theme.SPACE - 2)
        column.addLayout(top)
        column.addWidget(self.conclusion)
        column.addWidget(self.character)
        column.addWidget(self.table, 3)
        column.addLayout(state)
        column.addWidget(self.details, 1)
        column.addLayout(foot)

    @property
    def current(self) -> StockResult | None:
        """The stock of the current row."""
        comparison, row = self._which.comparison, self.table.currentRow()
        if comparison is None or not 0 <= row < len(comparison.ranked):
            return None
        return comparison.ranked[row]

    def _take(self, row: int) -> None:
        comparison = self._which.comparison
        if comparison is not None and 0 <= row < len(comparison.ranked):
            self._which.take(comparison.ranked[row])

    # ---- showing

    def _show(self) -> None:
        which, state = self._which, self._session.state
        now = (
            which.comparison, which.is_old, which.stopped, which.failed, which.is_whole,
            state.setting.stock, state.facts.comma,
        )  # fmt: skip
        self._show_state()
        if len(now) == len(self._drawn) and all(
            one is other or one == other for one, other in zip(now, self._drawn, strict=True)
        ):
            return
        self._drawn = now
        comparison = which.comparison
        self._say(comparison)
        rows = [] if comparison is None else rows_of(comparison, self._now(comparison))
        self.table.show_rows(rows, is_old=which.is_old)
        self.save.setEnabled(which.is_whole)
        self._show_row()

    def _now(self, comparison: Comparison) -> StockResult | None:
        """The result of the stock in the sentence."""
        wanted = self._session.state.setting.stock.casefold()
        values = ((self._which.value_of(one).casefold(), one) for one in comparison.ranked)
        return next((one for value, one in values if value == wanted), None)

    def _say(self, comparison: Comparison | None) -> None:
        """What is concluded, once all stocks are measured."""
        from proofing.ordering import comparison_words as words

        whole = self._which.is_whole or self._which.is_old
        if comparison is None or not whole:
            self.heading.setText(self._waiting_words())
            self.conclusion.clear()
            self.note.clear()
        else:
            first, *others = words.conclusion(comparison)
            self.heading.setText(_held_together(first))
            self.conclusion.setText(_held_together(" ".join(others)))
            self.note.setText(_note(comparison))
        for label in (self.heading, self.conclusion):
            label.setEnabled(not self._which.is_old)
        said = "" if comparison is None else words.character_in_words(comparison.character)
        self.character.setText(said)
        for label in (self.conclusion, self.character):
            label.setHidden(not label.text())

    def _waiting_words(self) -> str:
        if self._which.failed:
            return tr("The stocks could not be compared. The bar in the window tells why.")
        if self._which.stopped:
            return tr("Not all stocks have been measured.")
        return tr("Measuring every stock on this picture in this room…")

    def _show_state(self) -> None:
        """How far it is, and what hangs on that."""
        which = self._which
        if which.stopped:
            said = tr("Stopped. What is shown was measured before.")
        elif which.is_whole or which.failed:
            said = ""
        elif which.is_old:
            said = tr(
                "Picture, room or size has changed: this is how it was. {percent:.0f} % of the new "
                "comparison is done.",
                percent=100 * which.done,
            )
        else:
            known = 0 if which.comparison is None else len(which.comparison.ranked)
            said = tr(
                "{known} of {count} stocks measured, {percent:.0f} % of the work done. Ctrl+B "
                "stops it.",
                known=known,
                count=which.count,
                percent=100 * which.done,
            )
        self.state.setText(said)
        self.state.setHidden(not said)
        self.again.setVisible(which.stopped)

    def _show_row(self) -> None:
        """What the current stock gives and takes."""
        result, comparison = self.current, self._which.comparison
        self.take.setEnabled(result is not None)
        if result is None or comparison is None:
            self.details.show_nothing()
        else:
            self.details.show_result(result, comparison)


def _note(comparison: Comparison) -> str:
    """How it was measured, and what was left out."""
    from proofing.ordering.comparison_words import sample_in_words

    said = [sample_in_words(comparison)]
    if any(result.stock.typical for result in comparison.ranked):
        said.append(
            tr(
                "Typical values are those of a common paper of its kind; the lab's own profile "
                "would tell more."
            )
        )
    said += [
        tr("Left out: {stock}. {reason}.", stock=tr(stock.name), reason=reason.rstrip("."))
        for stock, reason in comparison.left_out
    ]
    return " ".join(said)


class _Details(QScrollArea):
    """Sentences of one stock: what it gives, what it takes, and the rest."""

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(tr("What this stock gives and takes"))
        self.trade = _line()
        self.gives_head, self.takes_head = _line(strong=True), _line(strong=True)
        self.gives, self.takes, self.rest = _line(), _line(), _line()
        self.gives_head.setText(tr("What it gives, beside the others"))
        self.takes_head.setText(tr("What it takes"))
        self._inside = inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(theme.SPACE, 0, theme.SPACE, 0)
        column.setSpacing(theme.SPACE - 2)
        column.addWidget(self.trade)
        sides = QHBoxLayout()
        sides.setSpacing(3 * theme.SPACE)
        for head, said in ((self.gives_head, self.gives), (self.takes_head, self.takes)):
            side = QVBoxLayout()
            side.setSpacing(2)
            side.addWidget(head)
            side.addWidget(said)
            side.addStretch(1)
            sides.addLayout(side, 1)
        column.addLayout(sides)
        column.addWidget(self.rest)
        column.addStretch(1)
        self.setWidget(inside)

    def show_nothing(self) -> None:
        """There is no stock to tell of."""
        self._inside.hide()

    def show_result(self, result: StockResult, comparison: Comparison) -> None:
        """Tell of a stock."""
        from proofing.ordering import comparison_words as words

        self._inside.show()
        first = comparison.ranked[0]
        name = tr(result.stock.name)
        said = tr("{stock}, {basis}.", stock=name, basis=words.basis_of(result.stock).rstrip("."))
        said = said[0].upper() + said[1:]
        if result is not first:
            said = f"{said} {words.trade_off(first, result)}"
        self.trade.setText(_held_together(said))
        sentences = words.sentences_of(result, comparison)
        gives, takes, rest = words.gives_and_takes(result, comparison)
        self.gives.setText(_told(gives, sentences) or tr("Nothing that the others lack."))
        self.takes.setText(_told(takes, sentences) or tr("Nothing that the others keep."))
        alike = _told(rest, sentences, listed=False)
        self.rest.setText(tr("Much as on the others: {said}", said=alike) if alike else "")
        self.rest.setHidden(not alike)


def _told(
    criteria: Sequence[Criterion], sentences: dict[Criterion, str], *, listed: bool = True
) -> str:
    said = [sentences[criterion] for criterion in criteria]
    return _held_together("\n".join(f"– {each}" for each in said) if listed else " ".join(said))


def _held_together(text: str) -> str:
    """No line begins with a lone per cent sign."""
    return text.replace(" %", "\N{NO-BREAK SPACE}%")


def _line(*, strong: bool = False) -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setFont(theme.font(theme.SMALL_PX, strong=strong, tabular=True))
    return label
