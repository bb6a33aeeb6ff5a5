"""The page of the curve: the corrections of this print, shown, set by hand, and taken along."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QGuiApplication, QShowEvent, QTextOption
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.correcting import EASED_NOTE
from app.panels.amount import Amount
from app.panels.button import Button
from app.panels.why_card import WhyButton
from app.session import Session
from app.state import BY_ID, SETTINGS, Setting, number_text
from app.state.commands import EASE_STEP, LIFT_STEP, is_corrected
from app.state.curve import Codes, codes_of, text_of
from app.state.table import curve_points as points01
from app.views.curve_drawing import CurveDrawing, Curves
from proofing.findings.words import stops_in_words
from proofing.language import tr
from proofing.ordering.correction_files import CurvePoint, curve_points
from proofing.photograph import Encoding
from proofing.printing import Correction, correction_for

_SIZE = QSize(1000, 690)
_LEAST = QSize(720, 480)
_FORM_WIDTH = 380
_AMOUNTS = (
    ("shadow_lift", "needed_lift", 0.05, LIFT_STEP),
    ("colour_ease", "needed_ease", 1.0, EASE_STEP),
)
"""Setting, command, and by how much a slider steps."""


class CurvePage(QDialog):
    """Stays beside the window and follows it; the window's keys work here, too.

    Parameters
    ----------
    session
        Whose print is corrected.
    ask_file
        Asks where to write: a name to begin with, then what is done with the path.
    """

    def __init__(
        self,
        session: Session,
        parent: QWidget,
        ask_file: Callable[[str, Callable[[str], None]], None],
    ) -> None:
        super().__init__(parent, Qt.WindowType.Tool)
        self.setAttribute(Qt.WidgetAttribute.WA_MacAlwaysShowToolWindow)
        self.setWindowTitle(tr("The curve of this print"))
        self._session, self._ask_file = session, ask_file
        self._shown: tuple[object, ...] | None = None
        self._correction: Correction | None = None
        self._asked = ""
        self._waits, self._needed_of = False, session.state.setting
        self.drawing = CurveDrawing()
        self.drawing.moved.connect(self._move)
        self.drawing.chosen.connect(self._show_point)
        self.works_on, self.point, self.hint = _words(), _words(), _words()
        self.hint.setProperty("quiet", True)
        self.hint.setText(
            tr(
                "Tab chooses a point, arrow keys move it, with Shift by 10; Home puts it on the "
                "straight line, Del takes it away, Ins sets one."
            )
        )
        self.amounts: dict[str, Amount] = {}
        row = QHBoxLayout(self)
        row.addLayout(self._left(), 1)
        row.addWidget(self._controls())
        self.resize(_SIZE.boundedTo(parent.screen().availableSize() - QSize(40, 60)))
        self.setMinimumSize(_LEAST.boundedTo(self.size()))
        session.changed.connect(self._follow)
        session.baked_changed.connect(self._follow)
        session.ordered.connect(self._show_result)
        session.failed.connect(self._hear)
        self.drawing.setFocus()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._show()

    # ---- what there is

    def _left(self) -> QVBoxLayout:
        column = QVBoxLayout()
        column.addLayout(_with_why(self.works_on, "curve"))
        column.addWidget(self.drawing, 1)
        self.point.setFont(theme.font(theme.BODY_PX, tabular=True))
        column.addWidget(self.point)
        column.addWidget(self.hint)
        column.addStretch(0)
        return column

    def _controls(self) -> QWidget:
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(0, 0, theme.SPACE, 0)
        for id, command, unit, page in _AMOUNTS:
            self.amounts[id] = amount = Amount(SETTINGS[id], command, unit, page)
            amount.slid.connect(partial(self._slide, id))
            amount.needed.connect(partial(self._look_what_is_needed, command))
            column.addWidget(amount)
            column.addSpacing(theme.SPACE)
        self.told_needed = _words()
        self.told_needed.hide()
        column.addWidget(self.told_needed)
        self.without = QCheckBox(tr("Without the corrections"))
        self.without.setToolTip(_keys_of("without_corrections"))
        self.without.clicked.connect(self._set_aside)
        column.addWidget(self.without)
        column.addSpacing(theme.SPACE)
        self.table_words = _words()
        self.table_words.setText(tr("The corrected line as points, to be set by hand:"))
        column.addWidget(self.table_words)
        self.table = _table()
        column.addWidget(self.table)
        self.copy = _button(tr("Copy the points"))
        self.copy.clicked.connect(self._copy)
        column.addWidget(self.copy, 0, Qt.AlignmentFlag.AlignLeft)
        self.note, self.told_written = _words(), _words()
        column.addSpacing(theme.SPACE)
        column.addWidget(self.note)
        column.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setWidget(inner)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        whole = QWidget()
        whole.setFixedWidth(_FORM_WIDTH)
        outer = QVBoxLayout(whole)
        outer.setContentsMargins(theme.SPACE, 0, 0, 0)
        outer.addWidget(scroll, 1)
        outer.addWidget(self.told_written)  # in sight wherever the rest is scrolled to
        outer.addLayout(self._foot())
        return whole

    def _foot(self) -> QHBoxLayout:
        self.save_cube = _button(tr("Save as .cube…"))
        self.save_cube.clicked.connect(lambda: self._save(".cube"))
        self.save_link = _button(tr("Save as ICC device link…"))
        self.save_link.clicked.connect(lambda: self._save(".icc"))
        close = _button(tr("Close"))
        close.clicked.connect(self.reject)
        foot = QHBoxLayout()
        for button in (self.save_cube, self.save_link):
            foot.addWidget(button)
        foot.addStretch(1)
        foot.addWidget(close)
        return foot

    # ---- changing

    def _move(self, points: Codes, gesture: str) -> None:
        self._session.change(gesture, curve=text_of(points))

    def _slide(self, id: str, gesture: str, value: float) -> None:
        self._session.change(gesture, **{id: value})

    def _look_what_is_needed(self, command: str) -> None:
        self._waits = True
        self._session.run(command)

    def _hear(self, sentence: str) -> None:
        """What the bar says of that is said here, too, while it is true."""
        if self._waits and sentence:
            self._waits, self._needed_of = False, self._session.state.setting
            self.told_needed.setText(sentence)
            self.told_needed.show()

    def _set_aside(self) -> None:
        self._session.run("without_corrections")
        self._show()

    def _copy(self) -> None:
        if self._correction is not None:
            rows = [_heads(), *map(_cells, curve_points(self._correction))]
            text = "\n".join("\t".join(row) for row in rows)
            QGuiApplication.clipboard().setText(text + "\n")

    def _save(self, suffix: str) -> None:
        def write(path: str) -> None:
            self._asked = str(Path(path))
            self._session.desk.write_curve(path)

        self._ask_file(self._session.desk.curve_name(suffix), write)

    # ---- showing

    def _follow(self) -> None:
        if self.isVisible():
            self._show()

    def _show(self) -> None:
        state, setting = self._session.state, self._session.setting
        lift, ease = setting.shadow_lift, setting.colour_ease
        self.amounts["shadow_lift"].show_value(lift, stops_in_words(lift))
        percent = tr("{percent} %", percent=number_text(ease, 1))
        self.amounts["colour_ease"].show_value(ease, percent)
        command = BY_ID["without_corrections"]
        self.without.setChecked(not is_corrected(state) and any(state.view.set_aside))
        self.without.setEnabled(command.enabled(state))
        if setting != self._needed_of:
            self.told_needed.hide()
        self._show_curve(setting)
        self._show_result()

    def _show_curve(self, setting: Setting) -> None:
        whole = self._session.whole
        there = whole is not None and self._session.tools is not None
        for widget in (self.copy, *self.amounts.values()):
            widget.setEnabled(there)
        if whole is None:
            self._shown = self._correction = None
            self.drawing.show_curves(None)
            self.works_on.setText(tr("Open a photograph to correct it."))
            self.table.clear()
            return
        encoding = whole.encoding
        comma = self._session.state.facts.comma
        shown = encoding.key, setting.curve, setting.shadow_lift, comma
        if shown != self._shown:  # what else changes is no matter of the curve
            self._shown = shown
            own = correction_for(encoding, points01(setting.curve))
            self._correction = own.with_lift(setting.shadow_lift)
            curves = (np.asarray(each.curve) for each in (own, self._correction))
            self.drawing.show_curves(Curves(codes_of(setting.curve), *curves))
            rows = [_heads(), *map(_cells, curve_points(self._correction))]
            self.table.setPlainText("\n".join("\t" + "\t".join(row) for row in rows))
        self._show_point()
        self.works_on.setText(_works_on(encoding, whole.facts.space))
        is_rgb = encoding.kind != "Lab"
        for button in (self.save_cube, self.save_link):
            button.setEnabled(there and is_rgb and is_corrected(self._session.state))
        said = [tr(EASED_NOTE)] if setting.colour_ease else []
        if not is_rgb:
            said.append(
                tr(
                    "Tables and device links hold curves of RGB only: order from this file, or "
                    "save it as RGB."
                )
            )
        self.note.setText("\n\n".join(said))
        self.note.setVisible(bool(said))

    def _show_point(self) -> None:
        self.point.setText(self.drawing.told)

    def _show_result(self) -> None:
        desk, said = self._session.desk, ""
        if self._asked and desk.busy:
            said = tr("Writing…")
        elif self._asked and desk.done is not None and str(desk.done.paths[0]) == self._asked:
            said = "\n".join([tr("Written: {path}", path=self._asked), *desk.done.sentences])
        if said != self.told_written.text():
            self.told_written.setText(said)
            self.told_written.setVisible(bool(said))


def _works_on(encoding: Encoding, space: str) -> str:
    if encoding.kind == "Lab":
        return tr(
            "On this file ({space}) the curve works on L* alone: 255 is L* 100. Its colours stay.",
            space=space,
        )
    if encoding.kind == "grey":
        return tr("The curve works on the one channel of this grey file ({space}).", space=space)
    return tr(
        "The same curve on each channel of the file, in its own space ({space}).", space=space
    )


def _heads() -> tuple[str, ...]:
    return tr("in"), tr("out"), tr("in, %"), tr("out, %")


def _cells(point: CurvePoint) -> tuple[str, ...]:
    percents = (tr("{n:.1f}", n=n) for n in (point.percent_in, point.percent_out))
    return str(point.code_in), str(point.code_out), *percents


def _table() -> QPlainTextEdit:
    """Rows of figures that can be selected, its columns set flush right."""
    table = QPlainTextEdit()
    table.setReadOnly(True)
    table.setTabChangesFocus(True)
    table.setFrameShape(QFrame.Shape.NoFrame)
    table.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
    table.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    table.setFont(theme.font(theme.BODY_PX, tabular=True))
    table.setAccessibleName(tr("Points of the curve"))
    option = QTextOption()
    option.setTabs(
        [QTextOption.Tab(at, QTextOption.TabType.RightTab) for at in (48, 120, 208, 300)]
    )
    table.document().setDefaultTextOption(option)
    table.setFixedHeight(12 * table.fontMetrics().lineSpacing() + 12)
    return table


def _words() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setFont(theme.font(theme.SMALL_PX))
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


def _button(words: str) -> Button:
    button = Button(words)
    button.setAutoDefault(False)
    return button


def _keys_of(command: str) -> str:
    row = BY_ID[command]
    return tr("{title} ({keys})", title=tr(row.title), keys=row.shortcut)


def _with_why(label: QLabel, id: str) -> QHBoxLayout:
    label.setProperty("why", id)
    line = QHBoxLayout()
    line.setSpacing(theme.SPACE)
    line.addWidget(label, 1)
    line.addWidget(WhyButton(id), 0, Qt.AlignmentFlag.AlignTop)
    return line
