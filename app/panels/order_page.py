"""The order: size, crop and edge drawn on the sheet, what the lab gets, and the file itself."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from PySide6.QtCore import QEvent, QSignalBlocker, QSize, Qt
from PySide6.QtGui import QFont, QImage
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QDialog,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.desk_files import Wish
from app.panels.button import Button
from app.panels.choice_list import Choice
from app.panels.choices import Notes, choices
from app.panels.fields import advice_of
from app.panels.why_card import WhyButton
from app.session import Session
from app.state import SETTINGS, number_text, print_size_mm, viewing_distance_m
from app.state.framing import framing, sheet_of
from app.state.lengths import size_text
from app.views.canvas import image_over
from app.views.sheet_drawing import Drawn, SheetDrawing
from app.work import closed
from proofing.errors import ProofingError, SettingError
from proofing.language import mark, tr
from proofing.ordering.layout_words import layout_in_words
from proofing.ordering.size import Fineness
from proofing.ordering.size_words import distance_in_words, size_in_words
from proofing.ordering.surface_detail import surface_detail

_SIZE = QSize(1120, 700)
_LEAST = QSize(760, 480)
_FORM_WIDTH = 420
_KINDS = (("TIFF", mark("TIFF, 16 bits")), ("JPEG", mark("JPEG, 8 bits, top quality")))
_SPACES = (("adobe-rgb", "Adobe RGB (1998)"), ("srgb", "sRGB"))
_PROFILE = "profile"
_OTHERS = (
    ("write_strip", mark("Test strip…")),
    ("write_sheet", mark("Sheet for the customer…")),
)


class OrderPage(QDialog):
    """Stays beside the window and follows it; the window's keys work here, too.

    Parameters
    ----------
    session
        Whose print is ordered.
    ask_file
        Asks where to write: a name to begin with, then what is done with the path.
    ask_profile
        Asks for a profile: what is done with its path.
    """

    def __init__(
        self,
        session: Session,
        parent: QWidget,
        ask_file: Callable[[str, Callable[[str], None]], None],
        ask_profile: Callable[[Callable[[str], None]], None],
    ) -> None:
        super().__init__(parent, Qt.WindowType.Tool)
        self.setAttribute(Qt.WidgetAttribute.WA_MacAlwaysShowToolWindow)
        self.setWindowTitle(tr("The order"))
        self._session, self._ask_file, self._ask_profile = session, ask_file, ask_profile
        self.drawing = SheetDrawing()
        self.drawing.moved.connect(lambda at: session.change("crop_place", crop_place=at))
        self.edits: dict[str, QLineEdit] = {}
        self.lists: dict[str, QComboBox] = {}
        self._rows: dict[str, tuple[Choice, ...]] = {}
        self.told, self.problem, self.told_written = _words(), _words(), _words()
        self.problem.setProperty("refused", True)
        row = QHBoxLayout(self)
        row.addWidget(self.drawing, 1)
        row.addWidget(self._controls())
        self.resize(_SIZE.boundedTo(parent.screen().availableSize() - QSize(40, 60)))
        self.setMinimumSize(_LEAST.boundedTo(self.size()))
        session.changed.connect(self._follow)
        session.ordered.connect(self._show)
        session.order_progressed.connect(self._show_result)
        self.finished.connect(lambda _: session.desk.watch(False))
        self._show()

    # ---- controls

    def _controls(self) -> QWidget:
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(0, 0, theme.SPACE, 0)
        sheet = QFormLayout()
        for id in ("size_mm", "crop", "edge", "edge_mm", "bleed_mm"):
            field = self._edit(id) if id in ("edge_mm", "bleed_mm") else self._list(id)
            sheet.addRow(tr(SETTINGS[id].title), _with_why(field, id))
        column.addLayout(sheet)
        column.addWidget(self.told)
        column.addWidget(self.problem)
        column.addSpacing(theme.SPACE)
        column.addLayout(self._file_form())
        column.addWidget(self.told_written)
        self.stop_button = _button(tr("Stop writing"))
        self.stop_button.clicked.connect(lambda: self._session.run("stop_work"))
        column.addWidget(self.stop_button)
        column.addStretch(1)
        self._scrolled = scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setWidget(inner)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.write_button = _button(tr("Write the order file…"))
        self.write_button.clicked.connect(self._write)
        self.others: list[Button] = []
        foot = QGridLayout()
        foot.addWidget(self.write_button, 0, 0)
        for at, (command, words) in enumerate(_OTHERS, start=1):
            button = _button(tr(words))
            button.clicked.connect(lambda _=False, command=command: self._session.run(command))
            self.others.append(button)
            foot.addWidget(button, at // 2, at % 2)
        close = _button(tr("Close"))
        close.clicked.connect(self.reject)
        foot.addWidget(close, 1, 1)
        whole = QWidget()
        whole.setFixedWidth(_FORM_WIDTH)
        outer = QVBoxLayout(whole)
        outer.setContentsMargins(theme.SPACE, 0, 0, 0)
        outer.addWidget(scroll, 1)
        outer.addLayout(foot)
        return whole

    def _edit(self, id: str) -> QLineEdit:
        row, edit = SETTINGS[id], QLineEdit()
        edit.setAccessibleName(tr(row.title))
        edit.setAccessibleDescription(tr(row.sentence))
        edit.setPlaceholderText(tr(row.automatic))
        edit.editingFinished.connect(lambda: self._typed(id, edit.text()))
        self.edits[id] = edit
        return edit

    def _list(self, id: str) -> QComboBox:
        box = QComboBox()
        box.setAccessibleName(tr(SETTINGS[id].title))
        box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        box.setMinimumContentsLength(12)
        box.activated.connect(lambda at: self._change(**{id: _value(box.itemData(at))}))
        if SETTINGS[id].kind == "size":  # another one can be typed
            box.setEditable(True)
            box.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
            box.setCompleter(None)  # type: ignore[arg-type]  # which takes it away
            edit = QLineEdit()
            box.setMinimumHeight(edit.sizeHint().height())
            box.setLineEdit(edit)
            edit.editingFinished.connect(lambda: self._typed(id, edit.text()))
            self.edits[id] = edit
        self.lists[id] = box
        return box

    def _file_form(self) -> QFormLayout:
        desk = self._session.desk
        self.kind, self.space = QComboBox(), QComboBox()
        self.kind.setAccessibleName(tr("Kind of file"))
        for value, words in _KINDS:
            self.kind.addItem(tr(words), value)
        self.kind.activated.connect(lambda at: desk.change(kind=self.kind.itemData(at)))
        self.space.setAccessibleName(tr("Colour space"))
        self.space.activated.connect(self._choose_space)
        self.pattern = QLineEdit(desk.wish.pattern)
        self.pattern.setAccessibleName(tr("Name"))
        self.pattern.textEdited.connect(lambda text: desk.change(pattern=text))
        self.name = _words()
        plain = self.name.font()
        plain.setFeature(QFont.Tag("calt"), 0)  # else 50x50 is drawn as 50×50
        self.name.setFont(plain)
        self.location = QCheckBox(tr("Leave in where it was taken"))
        self.location.clicked.connect(lambda on: desk.change(keep_location=on))
        self.most_ppi = QLineEdit()
        self.most_ppi.setAccessibleName(tr("Most ppi"))
        self.most_ppi.setPlaceholderText(tr("all pixels"))
        self.most_ppi.setToolTip(
            tr("Where the lab takes no more pixels to the inch: the picture is reduced to so many.")
        )
        self.most_ppi.editingFinished.connect(self._limit)
        form = QFormLayout()
        form.addRow(tr("File"), self.kind)
        form.addRow(tr("Colour space"), self.space)
        form.addRow(tr("Most ppi"), self.most_ppi)
        form.addRow(tr("Name"), self.pattern)
        form.addRow("", self.name)
        form.addRow("", self.location)
        return form

    # ---- choosing

    def _typed(self, id: str, text: str) -> None:
        row = SETTINGS[id]
        try:
            if not text.strip() and row.optional:
                value = None
            else:
                value = row.parse(_in_unit(text, id, inches=self._session.state.facts.inches))
        except SettingError as error:
            self._refuse(error)
            return
        if value != getattr(self._session.state.setting, id):
            self._change(**{id: value})

    def _change(self, **values: Any) -> None:
        session = self._session
        try:
            setting = session.state.setting.change(**values)
            if session.whole is not None:  # what leaves nothing of the picture is refused, too
                framing(setting, (session.whole.width, session.whole.height))
        except SettingError as error:
            self._refuse(error)
            return
        session.change(**values)

    def _refuse(self, error: SettingError) -> None:
        row = SETTINGS.get(error.field)
        title = tr(row.title) if row is not None else tr("Edge")
        self.problem.setText(
            tr("{title}: {problem}", title=title, problem=closed(advice_of(error)))
        )
        self.problem.show()
        self._show_values()

    def _choose_space(self, at: int) -> None:
        value = self.space.itemData(at)
        if value == _PROFILE:
            self._ask_profile(lambda path: self._session.desk.change(space=path))
            self._show_file(self._session.desk.wish)
        else:
            self._session.desk.change(space=value)

    def _limit(self) -> None:
        text = self.most_ppi.text().strip().casefold().removesuffix("ppi").strip()
        try:
            value = float(text.replace(",", ".")) if text else None
        except ValueError:
            value = 0.0
        if value is None or 30.0 <= value <= 5000.0:
            self._session.desk.change(most_ppi=value)
        else:
            self.problem.setText(tr("Ask for 30 to 5000 ppi, or leave it empty."))
            self.problem.show()

    def _write(self) -> None:
        try:
            name = self._session.desk.file_name()
        except ProofingError as error:
            told = advice_of(error) if isinstance(error, SettingError) else str(error)
            self.problem.setText(tr("Name: {problem}", problem=closed(told)))
            self.problem.show()
            return
        self._ask_file(name, self._session.desk.write)

    # ---- showing

    def _follow(self) -> None:
        """The setting has changed: what was refused before is no matter any more."""
        self.problem.hide()
        self._show()

    def _show(self) -> None:
        self._show_values()
        self._show_sheet()
        self._show_file(self._session.desk.wish)
        self._show_result()

    def _show_values(self) -> None:
        state = self._session.state
        for id, box in self.lists.items():
            rows, value = choices(id, state, Notes()), getattr(state.setting, id)
            with QSignalBlocker(box):
                if self._rows.get(id) != rows:  # else an open list would close
                    self._rows[id] = rows
                    box.clear()
                    for choice in rows:
                        words = f"{choice.name}   {choice.tag}" if choice.tag else choice.name
                        box.addItem(words, choice.value)
                values = [choice.value for choice in rows]
                box.setCurrentIndex(values.index(value) if value in values else -1)
        for id, edit in self.edits.items():
            value, row = getattr(state.setting, id), SETTINGS[id]
            if id == "size_mm":
                text = "" if value is None else size_text(value, state.facts.inches)
                if state.facts.picture is not None:
                    edit.setPlaceholderText(self._size_at_first())
            else:
                text = row.format(value)
            if not edit.hasFocus() or not edit.isModified():
                edit.setText(text)
        self.edits["edge_mm"].setEnabled(state.setting.edge != "none")

    def _size_at_first(self) -> str:
        """The size that the print has while none is set."""
        state = self._session.state
        try:
            size = print_size_mm(state.setting.change(size_mm=None), state.facts)
        except SettingError:
            return ""
        return size_text(size, state.facts.inches)

    def _show_sheet(self) -> None:
        session = self._session
        state, whole, picture = session.state, session.whole, session.desk.picture
        if whole is None or state.facts.picture is None:
            self.drawing.show_sheet(None)
            self.told.setText(tr("Open a photograph to order it."))
            self._enable(False)
            return
        try:
            framed = framing(state.setting, (whole.width, whole.height))
            face_mm = print_size_mm(state.setting, state.facts)
            sheet = sheet_of(state.setting, face_mm)
        except SettingError as error:
            self.drawing.show_sheet(None)
            self.told.setText(closed(advice_of(error)))
            self._enable(False)
            return
        self._enable(session.tools is not None and not session.is_another_coming)
        inches = state.facts.inches
        if picture is not None:
            image = image_over(picture, QImage.Format.Format_RGB32)
            self.drawing.show_sheet(Drawn(image, framed, state.setting.crop_place, sheet, inches))
        pixels = state.facts.picture.width_px, state.facts.picture.height_px
        fine = Fineness(pixels, face_mm, viewing_distance_m(state.setting, state.facts))
        runs_on = state.setting.edge == "picture"
        said = [
            tr("The corrections are set aside for looking; they are in the file all the same.")
            if any(state.view.set_aside)
            else "",
            size_in_words(fine, inches=inches),
            distance_in_words(fine, inches=inches, may_shrink=not runs_on),
            layout_in_words(sheet, inches=inches),
        ]
        baked = session.baked
        if baked is not None:
            said.append(surface_detail(baked.request.stock.surface.kind).in_words(fine.ppi))
        self.told.setText("\n\n".join(line for line in said if line))

    def _enable(self, on: bool) -> None:
        for button in (self.write_button, *self.others):
            button.setEnabled(on)

    def _show_file(self, wish: Wish) -> None:
        self.kind.setCurrentIndex(self.kind.findData(wish.kind))
        with QSignalBlocker(self.space):
            self.space.clear()
            for value, words in _SPACES:
                self.space.addItem(words, value)
            if wish.space not in dict(_SPACES):
                self.space.addItem(Path(wish.space).name, wish.space)
            self.space.addItem(tr("A profile of the lab's…"), _PROFILE)
            self.space.setCurrentIndex(self.space.findData(wish.space))
        if self.pattern.text() != wish.pattern:
            self.pattern.setText(wish.pattern)
        self.location.setChecked(wish.keep_location)
        if not self.most_ppi.hasFocus():
            self.most_ppi.setText("" if wish.most_ppi is None else number_text(wish.most_ppi))
        try:
            self.name.setText(self._session.desk.file_name())
        except ProofingError as error:
            told = advice_of(error) if isinstance(error, SettingError) else str(error)
            self.name.setText(closed(told))

    def _show_result(self) -> None:
        desk = self._session.desk
        if desk.share_done is not None:
            said = tr("Writing… {percent:.0f} %", percent=100.0 * desk.share_done)
        elif desk.done is not None:
            paths = [tr("Written: {path}", path=path) for path in desk.done.paths]
            said = "\n".join([*paths, *desk.done.sentences])
        else:
            said = desk.trouble
        self.stop_button.setVisible(desk.share_done is not None)
        if said == self.told_written.text():
            return
        self.told_written.setText(said)
        self.told_written.setVisible(bool(said))
        inner = self._scrolled.widget()
        if said and inner is not None:
            QApplication.sendPostedEvents(inner, QEvent.Type.LayoutRequest)  # it has its place
            self._scrolled.ensureWidgetVisible(self.told_written)


def _words() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setFont(theme.font(theme.SMALL_PX))
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


def _value(data: Any) -> Any:
    """What a list holds; the toolkit hands tuples back as lists."""
    return tuple(data) if isinstance(data, list) else data


def _button(words: str) -> Button:
    button = Button(words)
    button.setAutoDefault(False)
    return button


def _with_why(field: QWidget, id: str) -> QHBoxLayout:
    line = QHBoxLayout()
    line.setSpacing(theme.SPACE)
    line.addWidget(field, 1)
    line.addWidget(WhyButton(id))
    return line


def _in_unit(text: str, id: str, *, inches: bool) -> str:
    """A size in inches where these are told and no unit is typed."""
    bare = text.rstrip()[-1:].isdigit()
    return f"{text} in" if id == "size_mm" and inches and bare else text
