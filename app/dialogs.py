"""What the program asks a person for: files to open, places to save, things to choose; and help."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QPoint, QSettings, QSize, QStandardPaths, Qt, QTimer
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QInputDialog,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.comparing import comparison_table
from app.desk_files import SUFFIX, Wish
from app.exhibition import exhibition
from app.files import PICTURE_ENDINGS, atomic_output, is_file
from app.memory import (
    Combination,
    as_combination,
    combinations,
    forget_combination,
    name_combination,
)
from app.panels.at_hand_page import AtHandPage
from app.panels.button import Button
from app.panels.choice_list import Choice, ChoiceList
from app.panels.find_command import command_rows
from app.panels.help_page import HelpWindow
from app.panels.order_page import OrderPage
from app.panels.ruler_page import RulerPage
from app.panels.screen_page import ScreenPage
from app.panels.tones_page import TonesPage
from app.panels.which_stock_page import WhichStockPage
from app.pasting import Pasted, pasted
from app.session import Session
from app.shelf import pictures_in
from app.state import BY_ID, CORRECTIONS, SETTINGS, Facts, Setting, essence
from app.state.table import OF_A_PICTURE
from app.work import closed
from proofing.errors import OutputError, ProofingError, SettingError
from proofing.language import mark, tr

if TYPE_CHECKING:
    from app.panels.curve_page import CurvePage

PICTURES = mark("Photographs (*.tif *.tiff *.jpg *.jpeg *.png *.webp);;All files (*)")
STOCKS = mark("Profiles and stock records (*.icc *.icm *.toml);;All files (*)")
PROFILES = mark("Profiles (*.icc *.icm);;All files (*)")
SETTING_FILES = mark("Settings (*.toml);;All files (*)")
ORDERS_TIFF = mark("TIFF (*.tif)")
ORDERS_JPEG = mark("JPEG (*.jpg)")
SHEETS = mark("Pages (*.pdf);;Pictures (*.png)")
CUBES = mark("Tables (*.cube)")
LINKS = mark("Device links (*.icc)")
TABLES = mark("Tables (*.csv)")
PAIRS = mark("Pictures (*.png)")
_LAST_FOLDER = "folder"
_WISH = "order"
_PAGE = QSize(620, 640)


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

    def __init__(
        self,
        window: QWidget,
        session: Session,
        keys: Callable[[], Mapping[str, str]],
        pictures: Callable[[], QWidget],
    ) -> None:
        self._window = window
        self._pictures = pictures
        self._keys = keys
        self.help: HelpWindow | None = None
        self.tones: TonesPage | None = None
        self.curve: CurvePage | None = None
        self.order: OrderPage | None = None
        self._has_wish = False
        self.which_stock: WhichStockPage | None = None
        self.at_hand: AtHandPage | None = None
        self._session = session
        self._answers: dict[str, Callable[[], None]] = {
            "open photograph": self._open_photograph,
            "open exhibit": self._open_exhibit,
            "open recent": self._open_recent,
            "paste": self._paste,
            "reload": lambda: session.open(session.state.setting.photograph),
            "stop": session.stop,
            "needed lift": session.losses.lift_as_needed,
            "needed ease": session.losses.ease_as_needed,
            "go on": session.go_on,
            "open combination": self._open_combination,
            "name combination": self._name_combination,
            "open setting": self._open_setting,
            "save setting": self._save_setting,
            "save pair": self._save_pair,
            "file for stock": self._stock_file,
            "file for screen_profile": self._screen_file,
            "match ruler": self._match_ruler,
            "match screen": self._match_screen,
            "tones": self._show_tones,
            "curve": self._show_curve,
            "order": self._show_order,
            "write strip": self._write_strip,
            "write sheet": self._write_sheet,
            "at hand": self._show_at_hand,
            "which stock": self._show_which_stock,
            "help": self._show_help,
            "find command": self._find_command,
        }

    def answer(self, asked: str) -> None:
        """Open the dialog for one of :data:`app.state.ASKABLE`."""
        self._answers[asked]()

    def close(self) -> None:
        """The window ends, and with it what stays open beside it."""
        pages = (
            self.help, self.tones, self.curve, self.order, self.which_stock, self.at_hand
        )  # fmt: skip
        for page in pages:
            if page is not None:
                page.close()

    def _folder(self) -> str:
        """Where a person went last, else where the photograph is, else where pictures are kept."""
        opened = self._session.state.setting.photograph
        shown = {exhibit.path for exhibit in exhibition()}
        pictures = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.PicturesLocation)
        last = str(_memory().value(_LAST_FOLDER, ""))
        own = str(Path(opened).parent) if opened and Path(opened) not in shown else ""
        found = (folder for folder in (last, own, pictures) if folder and Path(folder).is_dir())
        return next(found, str(Path.home()))

    def _ask(
        self,
        title: str,
        filters: str,
        then: Callable[[str], None],
        *,
        save_as: str = "",
        several: Callable[[Sequence[str]], None] | None = None,
    ) -> None:
        """A file dialog that does not stop the window; ``then`` gets the path, or ``several`` all
        paths where there may be more than one."""
        dialog = QFileDialog(self._window, title, self._folder(), tr(filters))
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        if save_as:
            dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
            dialog.setDefaultSuffix(Path(save_as).suffix.lstrip("."))
            dialog.selectFile(save_as)
        else:
            mode = QFileDialog.FileMode
            dialog.setFileMode(mode.ExistingFile if several is None else mode.ExistingFiles)
        dialog.fileSelected.connect(_remember)
        if several is None:
            dialog.fileSelected.connect(then)
        else:
            dialog.filesSelected.connect(several)
        dialog.open()

    def _open_photograph(self) -> None:
        self._ask(tr("Open photographs"), PICTURES, self._session.open, several=self.open_all)

    def open_all(self, paths: Sequence[str]) -> None:
        """Open photographs; in the place of a folder, those in it."""
        try:
            pictures = pictures_in(paths)
        except OSError as error:
            self._session.tell(
                tr(
                    "The folder cannot be read ({strerror}); open a picture.",
                    strerror=error.strerror,
                )
            )
            return
        if not pictures:
            endings = ", ".join(PICTURE_ENDINGS)
            self._session.tell(
                tr(
                    "There is no picture in that folder; it is searched for {endings}.",
                    endings=endings,
                )
            )
            return
        self._session.open_all(pictures)

    def _paste(self) -> None:
        mime = QApplication.clipboard().mimeData()
        found = Pasted() if mime is None else pasted(mime)
        if found.paths:
            self.open_all(found.paths)
        elif found.write is not None:
            self._session.open_image(found.write)
        else:
            self._session.tell(
                tr("There is no picture to paste; copy a picture or its file first.")
            )

    def _open_exhibit(self) -> None:
        exhibits = exhibition()
        if not exhibits:
            self._session.tell(
                tr("The demonstration pictures are not installed; open one of yours.")
            )
            return
        rows = [Choice(str(each.path), each.title, (each.shows,)) for each in exhibits]
        self._choose_picture(tr("Demonstration pictures"), rows)

    def _open_recent(self) -> None:
        rows = [
            Choice(path, Path(path).name, (str(Path(path).parent),))
            for path in self._session.pictures
            if is_file(path)
        ]
        if not rows:
            self._session.tell(tr("No picture was opened lately; open one with Ctrl+O."))
            return
        self._choose_picture(tr("Pictures opened lately"), rows)

    def _choose_picture(self, title: str, rows: Sequence[Choice]) -> None:
        now = self._session.state.setting.photograph
        dialog = ListPage(title, tr("Picture"), rows, now, self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.list.accepted.connect(self._session.open)
        dialog.open()

    def _open_combination(self) -> None:
        """Named combinations and those hung lately; each is seen while one goes through them."""
        session = self._session
        facts, now = session.state.facts, as_combination(session.state.setting)
        named = combinations()
        known = {as_combination(each.setting) for each in named}
        rows = [Choice(as_combination(each.setting), each.name, (_of_print(each.setting, facts),))
                for each in named]  # fmt: skip
        rows += [
            Choice(setting, _of_print(setting, facts), (), tr("hung lately"))
            for setting in session.combinations
            if setting not in known
        ]
        if not rows:
            session.tell(tr("There is no combination yet; name this one with Ctrl+Shift+K."))
            return
        dialog = ListPage(tr("Combinations"), tr("Combination"), rows, now, self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.list.considered.connect(lambda setting: session.consider(_values(setting)))
        dialog.list.accepted.connect(self._hang)
        dialog.rejected.connect(lambda: session.consider(None))
        by_setting = {as_combination(each.setting): each for each in named}
        dialog.offer(
            tr("Forget it"),
            lambda setting: self._forget(by_setting[setting]),
            by_setting.__contains__,
        )
        dialog.resize(dialog.width(), min(dialog.height(), self._window.height() // 2))
        dialog.open()
        below = self._window.rect().bottomLeft() + QPoint(2 * theme.SPACE, -dialog.height())
        dialog.move(self._window.mapToGlobal(below))  # the pictures stay in sight

    def _forget(self, combination: Combination) -> None:
        try:
            kept = forget_combination(combination)
        except ProofingError as error:
            self._session.tell(closed(str(error)))
        else:
            self._session.tell(
                tr(
                    "{combination} is forgotten; its file is kept as {kept}.",
                    combination=combination.name,
                    kept=kept.name,
                )
            )

    def _hang(self, combination: Setting) -> None:
        now = self._session.state.setting
        own = {id: getattr(now, id) for id in SETTINGS if id not in _values(combination)}
        self._session.load_setting(combination.change(**own))

    def _name_combination(self) -> None:
        dialog = QInputDialog(self._window)
        dialog.setWindowTitle(tr("Name this combination"))
        dialog.setLabelText(
            tr(
                "Stock, size, room and screen as they are now, for any picture.\nIts name, such "
                "as Library hall, north wall:"
            )
        )
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.textValueSelected.connect(self.name_combination)
        dialog.open()

    def name_combination(self, name: str) -> None:
        """Keep the combination in force under a name."""
        try:
            name_combination(name, self._session.state.setting)
        except ProofingError as error:
            self._session.tell(closed(str(error)))

    def _stock_file(self) -> None:
        self._ask(tr("Print on the stock of a file"), STOCKS, self._session.use_stock_file)

    def _screen_file(self) -> None:
        self._ask(tr("Show on the screen of a profile"), PROFILES, self._session.use_screen_file)

    def _open_setting(self) -> None:
        self._ask(tr("Open a setting"), SETTING_FILES, self.load_setting)

    def _save_setting(self) -> None:
        self._ask(
            tr("Save this setting"), SETTING_FILES, self.write_setting, save_as="setting.toml"
        )

    def _save_pair(self) -> None:
        name = Path(self._session.state.setting.photograph).stem or "pair"
        self._ask(
            tr("Save this pair"),
            PAIRS,
            self._session.save_pair,
            save_as=tr("{name} pair.png", name=name),
        )

    def load_setting(self, path: str) -> None:
        """Take over the setting saved in a file."""
        try:
            text = Path(path).read_text(encoding="utf-8")
            setting = Setting.from_toml(text)
        except (OSError, UnicodeDecodeError):
            self._session.tell(
                tr(
                    "{path} cannot be read as a saved setting; choose another file.",
                    path=Path(path).name,
                )
            )
        except ProofingError as error:
            self._session.tell(closed(f"{Path(path).name}: {error}"))
        else:
            kept = setting.photograph or self._session.state.setting.photograph
            self._session.load_setting(setting.change(photograph=kept))

    def write_setting(self, path: str) -> None:
        """Save the setting in force."""
        target = Path(path) if path.lower().endswith(".toml") else Path(f"{path}.toml")
        setting = self._session.state.setting
        try:
            with atomic_output(target, [setting.photograph] if setting.photograph else []) as part:
                part.write_text(setting.to_toml(), encoding="utf-8")
        except OutputError as error:
            self._session.tell(closed(str(error)))

    def _match_ruler(self) -> None:
        session, holder = self._session, self._pictures()
        dialog = RulerPage(session.sight.ruler, holder.devicePixelRatioF(), holder)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.matched.connect(session.sight.set_ruler)
        dialog.open()

    def _find_command(self) -> None:
        session = self._session
        rows = command_rows(session.state, self._keys())
        dialog = ListPage(tr("Find a command"), tr("Command"), rows, None, self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        # once the page is gone, and the keyboard back where it was
        dialog.list.accepted.connect(
            lambda id: QTimer.singleShot(0, session, _running(session, id))
        )
        dialog.open()

    def _match_screen(self) -> None:
        page = ScreenPage(self._session, self._window)
        page.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        page.open()

    def _show_tones(self) -> None:
        """One page of tones, beside the pictures; asked for again, it goes."""
        if self.tones is None:
            self.tones = TonesPage(self._session, self._window)
        elif self.tones.isVisible():
            self.tones.close()
            return
        self._session.tones.watch(True)
        self.tones.show()

    def _show_curve(self) -> None:
        """One page of the curve, beside the pictures; asked for again, it goes."""
        from app.panels.curve_page import CurvePage  # its colours would hold up the window's start

        if self.curve is None:
            self.curve = CurvePage(self._session, self._window, self._curve_file)
        elif self.curve.isVisible():
            self.curve.close()
            return
        self.curve.show()

    def _curve_file(self, name: str, then: Callable[[str], None]) -> None:
        filters = CUBES if name.endswith(".cube") else LINKS
        self._ask(tr("Save the curve"), filters, then, save_as=name)

    def _show_order(self) -> None:
        """One page of the order, beside the pictures; asked for again, it goes."""
        if self.order is None:
            self._load_wish()
            self.order = OrderPage(
                self._session, self._window, self._order_file, self._order_profile
            )
        elif self.order.isVisible():
            self.order.close()
            return
        self._session.desk.watch(True)
        self.order.show()

    def _keep_wish(self) -> None:
        """What a lab asks for is the same the next time; a name in the midst of typing is not."""
        try:
            self._session.desk.file_name()
        except SettingError:
            return
        _memory().setValue(_WISH, self._session.desk.wish.to_json())

    def _order_file(self, name: str, then: Callable[[str], None]) -> None:
        filters = ORDERS_TIFF if name.endswith(".tif") else ORDERS_JPEG
        self._ask(tr("Write the order file"), filters, then, save_as=name)

    def _write_strip(self) -> None:
        self._load_wish()
        name = Path(self._session.state.setting.photograph).stem
        suffix = SUFFIX[self._session.desk.wish.kind]
        self._ask(
            tr("Write a test strip"),
            ORDERS_TIFF if suffix == ".tif" else ORDERS_JPEG,
            self._session.desk.write_strip,
            save_as=tr("{name} strip{suffix}", name=name, suffix=suffix),
        )

    def _write_sheet(self) -> None:
        name = Path(self._session.state.setting.photograph).stem
        self._ask(
            tr("Write the sheet for the customer"),
            SHEETS,
            self._session.desk.write_sheet,
            save_as=tr("{name} explained.pdf", name=name),
        )

    def _load_wish(self) -> None:
        """What the lab asked for the last time."""
        if not self._has_wish:
            self._has_wish = True
            self._session.desk.wish = Wish.from_json(str(_memory().value(_WISH, "")))
            self._session.ordered.connect(self._keep_wish)

    def _order_profile(self, then: Callable[[str], None]) -> None:
        self._ask(tr("The lab's colour space"), PROFILES, then)

    def _show_which_stock(self) -> None:
        """One page that compares the stocks, beside the pictures; asked for again, it goes."""
        if self.which_stock is None:
            self.which_stock = WhichStockPage(self._session, self._window)
            self.which_stock.save_wanted.connect(self._save_comparison)
        elif self.which_stock.isVisible():
            self.which_stock.close()
            return
        self._session.which_stock.watch(True)
        self.which_stock.show()

    def _show_at_hand(self) -> None:
        """One page of the pictures at hand, beside the window; asked for again, it goes."""
        if self.at_hand is None:
            self.at_hand = AtHandPage(self._session, self._window)
        elif self.at_hand.isVisible():
            self.at_hand.close()
            return
        self._session.verdicts.watch(True)
        self.at_hand.show()

    def _save_comparison(self) -> None:
        name = Path(self._session.state.setting.photograph).stem
        self._ask(
            tr("Save the table of stocks"),
            TABLES,
            self.write_comparison,
            save_as=tr("{name} stocks.csv", name=name),
        )

    def write_comparison(self, path: str) -> None:
        """Save the comparison that is shown as a table."""
        comparison = self._session.which_stock.comparison
        if comparison is None:
            return
        target = Path(path) if path.lower().endswith(".csv") else Path(f"{path}.csv")
        photograph = self._session.state.setting.photograph
        try:
            with atomic_output(target, [photograph] if photograph else []) as part:
                part.write_text(comparison_table(comparison), encoding="utf-8", newline="")
        except OutputError as error:
            self._session.tell(closed(str(error)))
        else:
            self._session.tell(tr("Saved: {name}.", name=target.name), "save")

    def _show_help(self) -> None:
        """One window of help, beside the pictures."""
        if self.help is None:
            self.help = HelpWindow(self._window, self._keys())
        self.help.show()
        self.help.raise_()
        self.help.activateWindow()


def _running(session: Session, id: str) -> Callable[[], None]:
    def run() -> None:
        command = BY_ID[id]
        if command.enabled(session.state):
            session.run(id)
        else:
            session.tell(tr("“{command}” is not possible now.", command=tr(command.title)))

    return run


def _memory() -> QSettings:
    """What is kept from one sitting to the next."""
    return QSettings(
        QSettings.Format.IniFormat, QSettings.Scope.UserScope, "stocklight", "stocklight"
    )


def _remember(path: str) -> None:
    _memory().setValue(_LAST_FOLDER, str(Path(path).parent))


def _values(setting: Setting) -> dict[str, Any]:
    """What a combination sets."""
    own = ("photograph", "marks", *CORRECTIONS, *OF_A_PICTURE)
    return {id: getattr(setting, id) for id in SETTINGS if id not in own}


def _of_print(setting: Setting, facts: Facts) -> str:
    """What a combination is: stock, light and lux always, the rest where it is not ordinary."""
    return essence(setting, facts)


class ListPage(QDialog):
    """Rows to choose one from, each with what there is to know of it."""

    def __init__(
        self, title: str, what: str, rows: Sequence[Choice], now: Any, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.list = ChoiceList(what, rows, now, width=_PAGE.width() - 24)
        self.list.accepted.connect(self.accept)
        close = Button(tr("Close"))
        close.setAutoDefault(False)
        close.clicked.connect(self.reject)
        self._buttons = QHBoxLayout()
        self._buttons.addStretch(1)
        self._buttons.addWidget(close)
        column = QVBoxLayout(self)
        column.addWidget(self.list, 1)
        column.addLayout(self._buttons)
        self.resize(_fitted(_PAGE, parent))

    def offer(
        self, title: str, then: Callable[[Any], None], holds: Callable[[Any], bool]
    ) -> QPushButton:
        """A button for something else that can be done with the current row.

        Parameters
        ----------
        title
            Of the button.
        then
            Done with the row's value, once the page is gone.
        holds
            Whether it can be done with a value.
        """
        button = Button(title)
        button.setAutoDefault(False)

        def press() -> None:
            value = self.list.value()
            self.reject()
            then(value)

        def follow() -> None:
            value = self.list.value()
            button.setEnabled(value is not None and holds(value))

        button.clicked.connect(press)
        self.list.view.selectionModel().currentChanged.connect(lambda *_: follow())
        follow()
        self._buttons.insertWidget(0, button)
        return button


def _fitted(size: QSize, parent: QWidget) -> QSize:
    return size.boundedTo(parent.screen().availableSize() - QSize(40, 60))
