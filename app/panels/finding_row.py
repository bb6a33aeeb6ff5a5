"""One finding in the list, and what would help."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.panels.enter_button import ENTER, EnterButton
from app.panels.why_card import WhyButton
from proofing.findings.advice import Action
from proofing.language import mark, tr

if TYPE_CHECKING:
    from proofing.findings.advice import Advice
    from proofing.findings.finding import Finding

_NUMBER_PX = 22

DONE_IN = {
    Action.STOCK: mark("with the order"),
    Action.INTENT: mark("with the order"),
    Action.LIGHT: mark("in the room"),
    Action.GLAZING: mark("in the room"),
    Action.LIFT: mark("with the order"),
    Action.EASE: mark("with the order"),
    Action.SATURATION: mark("in the file"),
    Action.FILE: mark("in the file"),
    Action.SCREEN: mark("at the screen"),
}
"""Where what no setting can try is done."""


def wrapped(text: str, *, quiet: bool = False) -> QLabel:
    """Words that wrap to the width they have."""
    label = QLabel(text)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setProperty("quiet", quiet)
    policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
    policy.setHeightForWidth(True)
    label.setSizePolicy(policy)
    return label


class StepButton(QPushButton):
    """A button within the list: Enter presses it, the arrows go on through the list.

    Signals
    -------
    stepped : int
    """

    stepped = Signal(int)

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setStyleSheet("padding: 1px 10px;")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER:
            if not event.isAutoRepeat():
                self.click()
        elif event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            self.stepped.emit(1 if event.key() == Qt.Key.Key_Down else -1)
        else:
            super().keyPressEvent(event)


class LineButton(EnterButton):
    """A quiet line that wraps and can be pressed."""

    _FLAGS = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setContentsMargins(5, 3, 5, 3)
        font = theme.font(theme.SMALL_PX)
        font.setUnderline(True)
        self.setFont(font)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        margins = self.contentsMargins()
        inner = QRect(0, 0, max(width - margins.left() - margins.right(), 1), 10_000)
        text = self.fontMetrics().boundingRect(inner, self._FLAGS, self.text())
        return text.height() + margins.top() + margins.bottom()

    def sizeHint(self) -> QSize:
        return QSize(240, self.heightForWidth(240))

    def minimumSizeHint(self) -> QSize:
        return QSize(80, self.fontMetrics().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(QColor(theme.TEXT if self.underMouse() else theme.QUIET))
        painter.setFont(self.font())
        painter.drawText(self.contentsRect(), self._FLAGS, self.text())
        if self.hasFocus():
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(QColor(theme.FOCUS), 1))
            painter.drawRoundedRect(self.rect().adjusted(0, 0, -1, -1), 3, 3)
        painter.end()


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
        self.buttons: list[StepButton] = []
        self.setObjectName("finding")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(
            tr("Finding {number}: {finding}", number=number, finding=finding.sentence)
        )
        self.setProperty("why", finding.kind.value)
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
        self.sentence = wrapped(finding.sentence)
        grid.addWidget(self.sentence, 0, 1)
        self.why = WhyButton(finding.kind.value)
        grid.addWidget(self.why, 0, 2, Qt.AlignmentFlag.AlignTop)
        self._help = QWidget()
        lines = QVBoxLayout(self._help)
        lines.setContentsMargins(0, 2, 0, 4)
        lines.setSpacing(4)
        for advice in finding.advice:
            lines.addLayout(self._line(advice))
        grid.addWidget(self._help, 1, 1, 1, 2)
        self.show_chosen(False)

    def _line(self, advice: Advice) -> QHBoxLayout:
        line = QHBoxLayout()
        line.setSpacing(theme.SPACE)
        line.addWidget(wrapped(f"– {advice.sentence}", quiet=True), 1)
        if advice.setting is None:
            line.addWidget(self._elsewhere(advice), 0, Qt.AlignmentFlag.AlignTop)
            return line
        button = StepButton(tr("Try it"))
        button.setAccessibleName(tr("Try it: {advice}", advice=advice.sentence))
        button.clicked.connect(lambda: self.followed.emit(advice))
        button.stepped.connect(self.stepped)
        self.buttons.append(button)
        line.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
        return line

    @staticmethod
    def _elsewhere(advice: Advice) -> QLabel:
        """Where it is done, in the place of a button."""
        label = QLabel(tr(DONE_IN[advice.action]))
        label.setObjectName("elsewhere")
        label.setFont(theme.font(theme.SMALL_PX))
        label.setToolTip(tr("Not a setting of this window: to be done there."))
        label.setProperty("quiet", True)
        label.setContentsMargins(0, 1, 11, 0)  # as far from the edge as a button's words
        return label

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
        if event.key() in (*ENTER, Qt.Key.Key_Space):
            self.chosen.emit()
        elif event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            self.stepped.emit(1 if event.key() == Qt.Key.Key_Down else -1)
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()
