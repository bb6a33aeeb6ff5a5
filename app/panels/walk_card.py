"""A card beside the part of the window that a step of the first walk is about."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app import theme
from app.panels.button import Button
from app.state.walk import STEPS
from proofing.language import tr

_WIDTH = 380
_GAP = 10


class WalkCard(QFrame):
    """Says what a part of the window is, and leads on.

    Signals
    -------
    stepped : int
        1 to go on, -1 to go back.
    left : ()
        Enough of it.
    """

    stepped = Signal(int)
    left = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("walk")
        self.setAccessibleName(tr("A first walk"))
        self.setStyleSheet(
            f"QFrame#walk {{ background: {theme.CARD}; border: 1px solid {theme.QUIET};"
            "border-radius: 6px; }"
        )
        self.around = _Around(parent)
        self.title, self.text, self.count = QLabel(), QLabel(), QLabel()
        self.title.setFont(theme.font(theme.BODY_PX + 1, strong=True))
        self.text.setWordWrap(True)
        self.count.setProperty("quiet", True)
        self.count.setFont(theme.font(theme.SMALL_PX))
        self.back, self.on, self.leave = (
            Button(tr("Back")),
            Button(tr("Next")),
            Button(tr("Leave")),
        )
        self.leave.setToolTip(tr("It can be begun again from the Help menu."))
        self.on.clicked.connect(lambda: self.stepped.emit(1))
        self.back.clicked.connect(lambda: self.stepped.emit(-1))
        self.leave.clicked.connect(self.left)
        buttons = QHBoxLayout()
        buttons.addWidget(self.count)
        buttons.addStretch(1)
        for button in (self.leave, self.back, self.on):
            buttons.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 12, 12)
        column.setSpacing(theme.SPACE)
        column.addWidget(self.title)
        column.addWidget(self.text)
        column.addLayout(buttons)
        self.setFixedWidth(_WIDTH)
        self.hide()

    def show_step(self, step: int) -> None:
        """Say what a step has to say."""
        here = STEPS[step]
        self.title.setText(tr(here.title))
        self.text.setText(tr(here.text))
        self.count.setText(tr("{step} of {steps}", step=step + 1, steps=len(STEPS)))
        self.setAccessibleDescription(f"{tr(here.title)}. {tr(here.text)}")
        self.back.setEnabled(step > 0)
        self.on.setText(tr("Done") if step == len(STEPS) - 1 else tr("Next"))

    def stand_by(self, at: QRect, within: QRect, *, below: bool = False) -> None:
        """Stand above a part of the window, or below it, and frame the part.

        Parameters
        ----------
        at, within
            The part, and where the card may be.
        below
            Whether below is the better place, where there is room.
        """
        words = self.text.heightForWidth(_WIDTH - 28)
        self.setFixedHeight(words + self.title.sizeHint().height() + 74)
        over = at.top() - _GAP - self.height()
        under = at.bottom() + _GAP
        fits_under = under + self.height() <= within.bottom()
        if over >= within.top() and not (below and fits_under):
            top = over
        elif fits_under:
            top = under
        else:
            top = max(within.top(), min(at.center().y(), within.bottom()) - self.height() // 2)
        left = min(max(at.left(), within.left()), within.right() - self.width())
        self.move(QPoint(left, top))
        self.around.setGeometry(at.adjusted(-5, -4, 5, 4).intersected(within))
        self.around.show()
        self.show()
        self.raise_()

    def put_away(self) -> None:
        """The walk is over."""
        self.hide()
        self.around.hide()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)


class _Around(QFrame):
    """A plain frame around the part in question; clicks go through it."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("around")
        self.setStyleSheet(
            f"QFrame#around {{ border: 2px solid {theme.TEXT}; border-radius: 5px; }}"
        )
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()
