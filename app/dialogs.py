"""What the program asks a person for: files to open, places to save, and the page of keys."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QFileDialog,
    QGridLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.files import atomic_output
from app.session import Session
from app.state import COMMANDS, MENUS, Setting
from app.work import closed
from proofing.errors import OutputError, ProofingError

PICTURES = "Photographs (*.tif *.tiff *.jpg *.jpeg *.png *.webp);;All files (*)"
STOCKS = "Profiles and stock records (*.icc *.icm *.toml);;All files (*)"
PROFILES = "Profiles (*.icc *.icm);;All files (*)"
SETTING_FILES = "Settings (*.toml);;All files (*)"
PAIRS = "Pictures (*.png)"


def is_saved_setting(path: str) -> bool:
    """Whether a file is a setting saved by this program, by its name and its content."""
    if Path(path).suffix.lower() != ".toml":
        return False
    try:
        with Path(path).open("rb") as file:
            return b"[setting]" in file.read(4096)
    except OSError:
        return False


class Dialogs:
    """Opens the dialog that answers what the state asks for."""

    def __init__(self, window: QWidget, session: Session) -> None:
        self._window = window
        self._session = session
        self._answers: dict[str, Callable[[], None]] = {
            "open photograph": self._open_photograph,
            "open setting": self._open_setting,
            "save setting": self._save_setting,
            "save pair": self._save_pair,
            "file for stock": self._stock_file,
            "file for screen_profile": self._screen_file,
            "help": self._show_keys,
        }

    def answer(self, asked: str) -> None:
        """Open the dialog for one of :data:`app.state.ASKABLE`."""
        self._answers[asked]()

    def _folder(self) -> str:
        opened = self._session.state.setting.photograph
        return str(Path(opened).parent) if opened else str(Path.home())

    def _ask(
        self, title: str, filters: str, then: Callable[[str], None], *, save_as: str = ""
    ) -> None:
        """A file dialog that does not stop the window; ``then`` gets the path."""
        dialog = QFileDialog(self._window, title, self._folder(), filters)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        if save_as:
            dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
            dialog.setDefaultSuffix(Path(save_as).suffix.lstrip("."))
            dialog.selectFile(save_as)
        else:
            dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.fileSelected.connect(then)
        dialog.open()

    def _open_photograph(self) -> None:
        self._ask("Open a photograph", PICTURES, self._session.open)

    def _stock_file(self) -> None:
        self._ask("Print on the stock of a file", STOCKS, self._session.use_stock_file)

    def _screen_file(self) -> None:
        self._ask("Show on the screen of a profile", PROFILES, self._session.use_screen_file)

    def _open_setting(self) -> None:
        self._ask("Open a setting", SETTING_FILES, self.load_setting)

    def _save_setting(self) -> None:
        self._ask("Save this setting", SETTING_FILES, self.write_setting, save_as="setting.toml")

    def _save_pair(self) -> None:
        name = Path(self._session.state.setting.photograph).stem or "pair"
        self._ask("Save this pair", PAIRS, self._session.save_pair, save_as=f"{name} pair.png")

    def load_setting(self, path: str) -> None:
        """Take over the setting saved in a file."""
        try:
            text = Path(path).read_text(encoding="utf-8")
            setting = Setting.from_toml(text)
        except (OSError, UnicodeDecodeError):
            self._session.tell(
                f"{Path(path).name} cannot be read as a saved setting; choose another file."
            )
        except ProofingError as error:
            self._session.tell(closed(f"{Path(path).name}: {error}"))
        else:
            kept = setting.photograph or self._session.state.setting.photograph
            self._session.load_setting(setting.change(photograph=kept))

    def write_setting(self, path: str) -> None:
        """Save the setting in force."""
        target = Path(path) if Path(path).suffix else Path(path).with_suffix(".toml")
        setting = self._session.state.setting
        try:
            with atomic_output(target, [setting.photograph] if setting.photograph else []) as part:
                part.write_text(setting.to_toml(), encoding="utf-8")
        except OutputError as error:
            self._session.tell(closed(str(error)))

    def _show_keys(self) -> None:
        dialog = KeysPage(self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()


class KeysPage(QDialog):
    """Every command with its keys, as the table has them."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("Commands and keys")
        inside = QWidget()
        grid = QGridLayout(inside)
        grid.setHorizontalSpacing(4 * theme.SPACE)
        grid.setVerticalSpacing(theme.SPACE // 2)
        for menu in MENUS:
            head = QLabel(menu)
            head.setFont(theme.font(theme.BODY_PX, strong=True))
            head.setContentsMargins(0, theme.SPACE, 0, 0)
            grid.addWidget(head, grid.rowCount(), 0, 1, 2)
            for command in COMMANDS:
                if command.menu == menu:
                    line = grid.rowCount()
                    grid.addWidget(QLabel(command.title), line, 0)
                    grid.addWidget(QLabel(command.shortcut), line, 1)
        notes = QLabel(
            "In the sentence: Tab goes from phrase to phrase, Enter opens one, typing finds, Enter "
            "chooses, Escape goes back.\nOn a picture: the wheel zooms, dragging moves, a double "
            "click goes to 1 : 1 and back; Shift with the arrows moves the measuring cross."
        )
        notes.setWordWrap(True)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setWidget(inside)
        close = QPushButton("Close")
        close.clicked.connect(self.accept)
        column = QVBoxLayout(self)
        column.addWidget(scroll, 1)
        column.addWidget(notes)
        column.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)
        self.resize(520, 560)
