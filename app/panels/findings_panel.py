"""What is lost, in sentences, the worst first; choosing one goes there and says what would help."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QApplication, QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from app import theme
from app.panels.answer_line import AnswerLine
from app.panels.finding_row import FindingRow, LineButton, wrapped
from app.panels.why_card import WhyButton
from proofing.findings.kinds import Kind
from proofing.findings.words import share_in_words
from proofing.language import counted, tr

if TYPE_CHECKING:
    from proofing.findings.advice import Advice
    from proofing.findings.finding import Finding

_LEAST = QSize(240, 72)
_ALIGN = 5  # in line with the sentence


class FindingsPanel(QFrame):
    """The answer of an advice, the verdict, a row for each finding, and what is not listed.

    Signals
    -------
    chosen : int or None
        The finding to go to, counted from 0; None to leave it.
    followed : Advice, Kind
        An advice is to be done, and the loss it is to help against.
    taken_back, dismissed : ()
        The advice that was followed is to be undone, or no more is to be said of it.
    marks_wanted : frozenset of Kind
        These marks are to be turned on again.
    """

    chosen = Signal(object)
    followed = Signal(object, object)
    taken_back = Signal()
    dismissed = Signal()
    marks_wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("findings")
        self.setAccessibleName(tr("Findings"))
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)  # holds the keyboard while no row is there
        self.setStyleSheet(
            "QFrame#findings { border: 1px solid transparent; border-radius: 3px; }"
            f"QFrame#findings:focus {{ border: 1px solid {theme.FOCUS}; }}"
            "QFrame#finding { border: 1px solid transparent; border-radius: 3px; }"
            f"QFrame#finding:hover {{ background: {theme.RAISED}; }}"
            f"QFrame#finding[chosen='true'] {{ background: {theme.CARD}; }}"
            f"QFrame#finding:focus {{ border: 1px solid {theme.FOCUS}; }}"
        )
        self.rows: list[FindingRow] = []
        self._shown: tuple[Finding, ...] | None = None
        self._chosen: int | None = None
        self._tried: int | None = None  # row of the advice that was followed
        self._off: frozenset[Kind] = frozenset()
        self._wanted = 150
        self._in_sight: FindingRow | None = None  # until someone scrolls
        self.answer = AnswerLine()
        self.answer.taken_back.connect(self.taken_back)
        self.answer.dismissed.connect(self.dismissed)
        self.answer.stepped.connect(self._step_from_answer)
        self.area = _Area()
        self.area.moved.connect(self._keep_in_sight)
        self.area.verticalScrollBar().actionTriggered.connect(self._let_scroll)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.answer)
        column.addWidget(self.area, 1)
        self._lay_out()

    def _lay_out(self) -> None:
        inside = QWidget()
        inside.setMinimumSize(1, 1)  # or a wrapped label asks for the height of a narrow one
        self._column = QVBoxLayout(inside)
        self._column.setContentsMargins(0, 0, theme.SPACE, 0)
        self._column.setSpacing(1)
        self.verdict = wrapped("")
        self.verdict.setFont(theme.font(theme.BODY_PX, strong=True))
        self.verdict.setAccessibleName(tr("Verdict"))
        self.brightness = wrapped("")
        self.brightness.setAccessibleName(tr("Screen against print"))
        head = QVBoxLayout()
        head.setContentsMargins(_ALIGN, 0, 6, 3)
        head.setSpacing(2)
        self.whys: list[WhyButton] = []
        for label, id in ((self.verdict, "verdict"), (self.brightness, "screen_against_print")):
            label.setProperty("why", id)
            button = WhyButton(id)
            self.whys.append(button)
            line = QHBoxLayout()
            line.setSpacing(theme.SPACE)
            line.addWidget(label, 1)
            line.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
            head.addLayout(line)
        self._column.addLayout(head)
        self.others = LineButton()
        self.others.clicked.connect(self._turn_on)
        self.others.hide()
        self._column.addWidget(self.others)
        self._column.addStretch(1)
        self.area.setWidget(inside)

    # ---- size

    def want(self, height: int) -> None:
        """The height it is given where there is room."""
        if height != self._wanted:
            self._wanted = height
            self.updateGeometry()

    def sizeHint(self) -> QSize:
        return QSize(600, self._wanted)

    def minimumSizeHint(self) -> QSize:
        return _LEAST

    def filled_height(self) -> int:
        """Height of what it shows, without the room below."""
        last: QWidget = self.brightness if self.brightness.isVisible() else self.verdict
        if self.others.isVisible():
            last = self.others
        elif self.rows:
            last = self.rows[-1]
        bottom = last.mapTo(self, last.rect().bottomLeft()).y()
        return min(max(bottom + 4, 24), self.height())

    # ---- showing

    def show_verdict(self, verdict: str, screen: str) -> None:
        """One line for the whole picture, and what is to be said of the screen, '' for nothing."""
        self.verdict.setText(verdict)
        self.brightness.setText(screen)
        self.brightness.setVisible(bool(screen))
        self.whys[0].setVisible(bool(verdict))
        self.whys[1].setVisible(bool(screen))

    def show_answer(self, sentence: str) -> None:
        """What following an advice has brought, '' for nothing."""
        held = not sentence and _focus_is_in(self.answer)
        if sentence and sentence != self.answer.sentence and self._chosen is None:
            self.area.verticalScrollBar().setValue(0)  # the verdict is another one, too
        self.answer.words.setText(sentence)
        if held:  # before it goes, or the keyboard would go to the pictures
            self._focus_row(self._tried or 0)
        self.answer.say(sentence)

    def show_others(self, hidden: Sequence[Finding], shares: Mapping[Kind, float]) -> None:
        """What is found of kinds whose marks are off, and how much of the picture each takes."""
        self._off = frozenset(found.kind for found in hidden)
        text = others_in_words(hidden, shares)
        held = not text and self.others.hasFocus()
        self.others.setText(text)
        if held:
            self._focus_row(0)
        self.others.setAccessibleName(tr("{kinds}. Turn these marks on again", kinds=text))
        self.others.setToolTip(tr("Turn these marks on again") if text else "")
        self.others.setVisible(bool(text))
        self.others.updateGeometry()

    def show_findings(self, findings: Sequence[Finding], chosen: int | None) -> None:
        """A row for each; the chosen one is open."""
        findings = tuple(findings)
        remade, moved = findings != self._shown, chosen != self._chosen
        if remade:
            self._make_rows(findings)
        if not remade and not moved:
            return
        there = None if chosen is None or chosen >= len(self.rows) else self.rows[chosen]
        at = self._row_with_focus()
        if there is not None and moved and _focus_is_in(self):
            there.setFocus(Qt.FocusReason.OtherFocusReason)  # before the other row is folded
        elif at is not None and self.rows[at] is not there:
            self.rows[at].setFocus(Qt.FocusReason.OtherFocusReason)
        for row in self.rows:
            row.show_chosen(row is there)
        if moved or self._in_sight is not None:
            self._in_sight = there
        self._chosen = chosen
        self._keep_in_sight()

    def _make_rows(self, findings: tuple[Finding, ...]) -> None:
        held = self._row_with_focus()
        if held is None and self.hasFocus():
            held = self._tried or 0  # there was no row to give the keyboard to
        old, self.rows, self._shown = self.rows, [], findings
        for number, finding in enumerate(findings, start=1):
            row = FindingRow(number, finding)
            row.chosen.connect(lambda row=row: self._choose(row))
            row.followed.connect(lambda advice, row=row: self._follow(row, advice))
            row.stepped.connect(lambda step, row=row: self._step(row, step))
            self._column.insertWidget(self._column.count() - 2, row)
            row.show()
            self.rows.append(row)
        if held is not None:  # before the old ones go, or the keyboard would go to the pictures
            self._focus_row(held)
        for row in old:
            self._column.removeWidget(row)
            row.hide()
            row.deleteLater()

    # ---- the keyboard

    def _row_with_focus(self) -> int | None:
        return next((i for i, row in enumerate(self.rows) if _focus_is_in(row)), None)

    def _focus_row(self, index: int) -> None:
        """The row of a number, or what there is instead of it."""
        if self.rows:
            place: QWidget = self.rows[min(index, len(self.rows) - 1)]
        elif self.answer.sentence:
            place = self.answer.back
        elif self.others.text():
            place = self.others
        else:
            place, self._tried = self, index
        place.setFocus(Qt.FocusReason.OtherFocusReason)

    def _step(self, row: FindingRow, step: int) -> None:
        """To the next row, and go there."""
        self._go_to(min(max(self.rows.index(row) + step, 0), len(self.rows) - 1))

    def _step_from_answer(self, step: int) -> None:
        if self.rows and step > 0:
            self._go_to(0)

    def _go_to(self, index: int) -> None:
        row = self.rows[index]
        row.setFocus(Qt.FocusReason.TabFocusReason)
        self._in_sight = row
        if row.property("chosen"):
            self._keep_in_sight()
        else:
            self.chosen.emit(index)

    # ---- what is asked for

    def _choose(self, row: FindingRow) -> None:
        index = self.rows.index(row)
        self.chosen.emit(None if row.property("chosen") else index)

    def _follow(self, row: FindingRow, advice: Advice) -> None:
        self._tried = self.rows.index(row)
        self.followed.emit(advice, row.finding.kind)
        if self.answer.sentence:
            self.answer.back.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self._focus_row(self._tried)

    def _turn_on(self) -> None:
        off = self._off
        self.marks_wanted.emit(off)
        first = next((i for i, row in enumerate(self.rows) if row.finding.kind in off), 0)
        self._focus_row(first)

    # ---- scrolling

    def _let_scroll(self) -> None:
        self._in_sight = None

    def _keep_in_sight(self) -> None:
        """All of the chosen row, or, where there is no room for that, its beginning; and no line
        above it cut in half where that can be."""
        row, inside = self._in_sight, self.area.widget()
        if row is None or row not in self.rows or inside is None:
            return
        self._column.activate()
        bar, room = self.area.verticalScrollBar(), self.area.viewport().height()
        least = row.y() + row.height() + 2 - room
        now = bar.value()
        if least <= now <= row.y():
            return
        if row.height() + 2 > room:
            bar.setValue(row.y())
            return
        tops = [part.y() for part in (self.verdict, self.brightness, *self.rows)]
        bar.setValue(min(top for top in tops if top >= least) if least > 0 else 0)


class _Area(QScrollArea):
    """The list.

    Signals
    -------
    moved : ()
        What is in it has another size or order, and its scroll bar knows.
    """

    moved = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        done = super().eventFilter(watched, event)
        laid_out = (QEvent.Type.Resize, QEvent.Type.LayoutRequest)
        if watched is self.widget() and event.type() in laid_out:
            self.moved.emit()
        return done

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.moved.emit()

    def minimumSizeHint(self) -> QSize:
        return QSize(_LEAST.width(), 40)


def _focus_is_in(place: QWidget) -> bool:
    now = QApplication.focusWidget()
    return now is not None and (now is place or place.isAncestorOf(now))


def others_in_words(hidden: Sequence[Finding], shares: Mapping[Kind, float]) -> str:
    """How many findings are not listed because their marks are off, '' for none.

    Parameters
    ----------
    hidden
        These findings.
    shares
        Share of the picture by kind, 0..1.
    """
    if not hidden:
        return ""
    off = [kind for kind in Kind if any(found.kind is kind for found in hidden)]
    listed = ", ".join(f"{kind.title.lower()} ({share_in_words(shares[kind])})" for kind in off)
    if len(off) > 1:
        return tr("{n} findings of kinds whose marks are off: {kinds}", n=len(hidden), kinds=listed)
    return counted(
        "{n} findings of a kind whose mark is off: {kinds}",
        "{n} finding of a kind whose mark is off: {kinds}",
        len(hidden),
        kinds=listed,
    )
