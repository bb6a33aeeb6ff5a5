"""What is lost, in sentences, the worst first; choosing one goes there and says what would help."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app import theme

if TYPE_CHECKING:
    from proofing.findings.advice import Advice
    from proofing.findings.finding import Finding

_NUMBER_PX = 22
_KEYS = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)


def _words(text: str, *, quiet: bool = False) -> QLabel:
    label = QLabel(text)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setProperty("quiet", quiet)
    policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
    policy.setHeightForWidth(True)
    label.setSizePolicy(policy)
    return label


class FindingRow(QFrame):
    """One finding: its number and sentence; once gone to, what would help.

    Signals
    -------
    chosen : ()
        To be gone to, or to be left again.
    followed : Advice
        An advice is to be done.
    stepped : int
        The keyboard goes to the next row, or the one before.
    """

    chosen = Signal()
    followed = Signal(object)
    stepped = Signal(int)

    def __init__(self, number: int, finding: Finding, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.finding = finding
        self.buttons: list[QPushButton] = []
        self.setObjectName("finding")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(f"Finding {number}: {finding.sentence}")
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        grid = QGridLayout(self)
        grid.setContentsMargins(6, 3, 6, 3)
        grid.setHorizontalSpacing(theme.SPACE)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(1, 1)
        figure = QLabel(str(number))
        figure.setFont(theme.font(theme.BODY_PX, strong=True, tabular=True))
        figure.setFixedWidth(_NUMBER_PX)
        figure.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
        grid.addWidget(figure, 0, 0, Qt.AlignmentFlag.AlignTop)
        grid.addWidget(_words(finding.sentence), 0, 1)
        self._help = QWidget()
        lines = QVBoxLayout(self._help)
        lines.setContentsMargins(0, 2, 0, 4)
        lines.setSpacing(4)
        for advice in finding.advice:
            lines.addLayout(self._line(advice))
        grid.addWidget(self._help, 1, 1)
        self.show_chosen(False)

    def _line(self, advice: Advice) -> QHBoxLayout:
        line = QHBoxLayout()
        line.setSpacing(theme.SPACE)
        line.addWidget(_words(f"– {advice.sentence}", quiet=True), 1)
        if advice.setting is not None:
            button = QPushButton("Try it")
            button.setAccessibleName(f"Try it: {advice.sentence}")
            button.setStyleSheet("padding: 1px 10px;")
            button.clicked.connect(lambda: self.followed.emit(advice))
            self.buttons.append(button)
            line.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
        return line

    def show_chosen(self, chosen: bool) -> None:
        """Open or fold what would help."""
        self._help.setVisible(chosen and bool(self.finding.advice))
        self.setProperty("chosen", chosen)
        self.style().polish(self)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self.chosen.emit()
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _KEYS:
            self.chosen.emit()
        elif event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            self.stepped.emit(1 if event.key() == Qt.Key.Key_Down else -1)
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()


class FindingsPanel(QScrollArea):
    """The verdict, and a row for each finding.

    Signals
    -------
    chosen : int or None
        The finding to go to, counted from 0; None to leave it.
    followed : Advice
        An advice is to be done.
    """

    chosen = Signal(object)
    followed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Findings")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setStyleSheet(
            "QFrame#finding { border: 1px solid transparent; border-radius: 3px; }"
            f"QFrame#finding:hover {{ background: {theme.RAISED}; }}"
            f"QFrame#finding[chosen='true'] {{ background: {theme.CARD}; }}"
            f"QFrame#finding:focus {{ border: 1px solid {theme.FOCUS}; }}"
        )
        self.rows: list[FindingRow] = []
        self._shown: tuple[Finding, ...] | None = None
        inside = QWidget()
        self._column = QVBoxLayout(inside)
        self._column.setContentsMargins(0, 0, theme.SPACE, 0)
        self._column.setSpacing(1)
        self.brightness = _words("")
        self.verdict = _words("")
        self.verdict.setFont(theme.font(theme.BODY_PX, strong=True))
        self.verdict.setAccessibleName("Verdict")
        for label in (self.brightness, self.verdict):
            label.setContentsMargins(5, 2, 6, 2)  # in line with the sentence
            self._column.addWidget(label)
        self._column.addStretch(1)
        self.setWidget(inside)

    def sizeHint(self) -> QSize:
        return QSize(600, 150)

    def minimumSizeHint(self) -> QSize:
        return QSize(240, 44)

    def show_verdict(self, verdict: str, screen: str) -> None:
        """One line for the whole picture, and what is to be said of the screen, '' for nothing."""
        self.verdict.setText(verdict)
        self.brightness.setText(screen)
        self.brightness.setVisible(bool(screen))

    def show_findings(self, findings: Sequence[Finding], chosen: int | None) -> None:
        """A row for each; the chosen one is open."""
        findings = tuple(findings)
        if findings != self._shown:
            at = next((i for i, row in enumerate(self.rows) if row.hasFocus()), None)
            for row in self.rows:
                self._column.removeWidget(row)
                row.hide()
                row.deleteLater()
            self.rows = []
            for number, finding in enumerate(findings, start=1):
                row = FindingRow(number, finding)
                row.chosen.connect(lambda row=row: self._choose(row))
                row.followed.connect(self.followed)
                row.stepped.connect(lambda step, row=row: self._step(row, step))
                self._column.insertWidget(self._column.count() - 1, row)
                self.rows.append(row)
            self._shown = findings
            if at is not None and at < len(self.rows):
                self.rows[at].setFocus(Qt.FocusReason.OtherFocusReason)
        for index, row in enumerate(self.rows):
            row.show_chosen(index == chosen)
        if chosen is not None and chosen < len(self.rows):
            self._column.activate()
            self._bring_into_sight(self.rows[chosen])

    def _bring_into_sight(self, row: FindingRow) -> None:
        """All of it, or, where there is no room for that, its beginning."""
        if row.height() > self.viewport().height() - 8:
            self.verticalScrollBar().setValue(row.y())
        else:
            self.ensureWidgetVisible(row, 0, 4)

    def _choose(self, row: FindingRow) -> None:
        index = self.rows.index(row)
        self.chosen.emit(None if row.property("chosen") else index)

    def _step(self, row: FindingRow, step: int) -> None:
        index = min(max(self.rows.index(row) + step, 0), len(self.rows) - 1)
        self.rows[index].setFocus(Qt.FocusReason.TabFocusReason)
        self.ensureWidgetVisible(self.rows[index], 0, 8)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        self.updateGeometry()
