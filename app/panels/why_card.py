"""A small ring to ask "why", and the card that answers."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPoint, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.panels.enter_button import ENTER, EnterButton
from app.whys import Why, why

_SIDE = 16
_CARD_WIDTH = 400
_NEAR = 3  # of widgets within one another: what is further out is about something else


class WhyButton(EnterButton):
    """Asks why a number is what it is; the card opens beside it."""

    def __init__(self, id: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.id = id
        found = why(id)
        title = "" if found is None else found.title
        self.setAccessibleName(f"Why: {title}")
        self.setToolTip("Why? (Shift+F1)")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setFixedSize(_SIDE, _SIDE)
        self.clicked.connect(self.open)

    def show_id(self, id: str) -> None:
        """Explain something else."""
        self.id = id
        found = why(id)
        self.setAccessibleName(f"Why: {'' if found is None else found.title}")

    def open(self) -> None:
        """Open the card."""
        explain(self.id, self)

    def sizeHint(self) -> QSize:
        return QSize(_SIDE, _SIDE)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        lit = self.underMouse() or self.hasFocus()
        colour = QColor(theme.FOCUS if self.hasFocus() else theme.TEXT if lit else theme.QUIET)
        painter.setPen(QPen(colour, 1.0))
        painter.drawEllipse(QRectF(1.5, 1.5, _SIDE - 3, _SIDE - 3))
        painter.setFont(theme.font(10, strong=True))
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, "?")
        painter.end()


class WhyCard(QFrame):
    """Three sentences, the formula and its source. A click elsewhere, Escape or Enter closes it."""

    def __init__(self, found: Why, window: QWidget, back: QWidget | None) -> None:
        super().__init__(window)
        self.found = found
        self._back = back
        self.setObjectName("why")
        self.setAccessibleName(f"Why: {found.title}")
        said = " ".join(found.sentences)
        self.setAccessibleDescription(f"{said} {found.formula}. {found.source}")
        self.setStyleSheet(
            f"QFrame#why {{ background: {theme.CARD}; border: 1px solid {theme.QUIET};"
            "border-radius: 6px; }"
        )
        title = QLabel(found.title)
        title.setFont(theme.font(theme.BODY_PX, strong=True))
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 10, 14, 10)
        column.setSpacing(theme.SPACE - 2)
        column.addWidget(title)
        for sentence in found.sentences:
            column.addWidget(self._line(sentence))
        column.addWidget(self._line(found.formula, size=theme.BODY_PX))
        source = self._line(f"Source: {found.source}")
        source.setProperty("quiet", True)
        column.addWidget(source)
        self.close_button = QPushButton("Close")
        self.close_button.clicked.connect(self.put_away)
        column.addWidget(self.close_button, 0, Qt.AlignmentFlag.AlignRight)
        self.setFixedWidth(min(_CARD_WIDTH, window.width() - 8))
        application = QApplication.instance()
        if application is not None:
            application.installEventFilter(self)

    @staticmethod
    def _line(text: str, size: int = theme.SMALL_PX) -> QLabel:
        line = QLabel(text)
        line.setWordWrap(True)
        line.setFont(theme.font(size, tabular=True))
        line.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        return line

    def stand_by(self, at: QPoint, window: QWidget) -> None:
        """Stand above a point of the window, or below it where there is no room."""
        layout = self.layout()
        assert layout is not None
        layout.activate()
        self.resize(self.width(), layout.totalHeightForWidth(self.width()))
        top = at.y() - self.height() - 8
        if top < 4:
            top = min(at.y() + 24, window.height() - self.height() - 4)
        left = min(max(at.x() - self.width() // 2, 4), window.width() - self.width() - 4)
        self.move(left, max(top, 4))

    def put_away(self) -> None:
        """Close, and give the keyboard back."""
        application = QApplication.instance()
        if application is not None:
            application.removeEventFilter(self)
        had_focus = self.isAncestorOf(QApplication.focusWidget() or self)
        self.hide()
        if had_focus and self._back is not None:
            self._back.setFocus(Qt.FocusReason.PopupFocusReason)
        self.deleteLater()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        outside = isinstance(watched, QWidget) and not (
            watched is self or self.isAncestorOf(watched)
        )
        if outside and event.type() == QEvent.Type.MouseButtonPress:
            self.put_away()
        return False

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Escape, *ENTER):
            self.put_away()
        else:
            super().keyPressEvent(event)


def explain(id: str, beside: QWidget, at: QPoint | None = None) -> WhyCard | None:
    """Open the card of an id beside a widget, in its window; None where there is none.

    Parameters
    ----------
    id
        Of the explanation.
    beside
        What shows the number.
    at
        Where in it; its middle where not given.
    """
    found, window = why(id), beside.window()
    if found is None:
        return None
    for card in window.findChildren(WhyCard):
        card.put_away()
    back = QApplication.focusWidget()
    card = WhyCard(found, window, back if back is not None else beside)
    place = beside.mapTo(window, at if at is not None else beside.rect().center())
    card.stand_by(place, window)
    card.show()
    card.raise_()
    card.close_button.setFocus(Qt.FocusReason.PopupFocusReason)
    return card


def id_near(widget: QWidget | None) -> str:
    """The id of the explanation that is nearest to a widget: its own, or one beside it; ''."""
    for _ in range(_NEAR):
        if widget is None:
            break
        own = widget.property("why")
        if isinstance(own, str) and own:
            return own
        if isinstance(widget, WhyButton):
            return widget.id
        button = widget.findChild(WhyButton)
        if button is not None and button.isVisibleTo(widget):
            return button.id
        widget = widget.parentWidget()
    return ""
