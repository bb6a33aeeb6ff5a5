"""A picture cropped for its sheet, as a person does it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.main_window import MainWindow
from app.panels.choices import Notes, choices
from proofing.findings.kinds import Kind
from tests.window.conftest import settle


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_a_crop_is_hung_told_and_taken_back(window: MainWindow, ramp: Path, qtbot) -> None:
    """Both pictures, the size, the pins and what is lost are those of the part; undo brings the
    whole back. A code at the top of any channel is clipped in the file."""
    session = window.session
    whole = session.photograph
    with Image.open(ramp) as image:
        codes = np.asarray(image)
    clipped = (codes == 255).any(axis=2)

    def clipped_share() -> float:
        assert session.losses.are_complete  # looked through, not only glanced at
        assert session.losses.proof is not None
        return float(session.losses.proof.share(Kind.CLIPPED_IN_FILE))

    assert clipped.mean() == pytest.approx(clipped_share(), abs=0.01)
    session.state = session.state.with_view(pins=((30.0, 10.0), (110.0, 70.0)))
    session.change(crop="3:1", crop_place=0.0, size_mm=(300.0, 100.0))
    settle(window, qtbot)
    part = session.photograph
    assert (codes[:40] == part.codes).all()
    assert "ramp.png, cropped to 3:1, from its beginning, on" in window.sentence.text()
    assert "30 × 10 cm, rendered" in window.sentence.text()
    assert session.state.view.pins == ((30.0, 10.0),)
    assert clipped[:40].mean() < 0.5 * clipped.mean()
    assert clipped[:40].mean() == pytest.approx(clipped_share(), abs=0.01)
    assert session.baked.request.photograph is part
    session.run("undo")
    settle(window, qtbot)
    assert session.photograph is whole
    assert clipped.mean() == pytest.approx(clipped_share(), abs=0.01)


def test_the_chooser_shows_what_each_shape_loses(window: MainWindow, qtbot) -> None:
    """Going down its list hangs the shapes; Escape hangs the whole picture again."""
    window.session.run("choose_crop")
    chooser = window.chooser
    listed = choices("crop", window.session.state, Notes())
    tags = {choice.value: choice.tag for choice in listed}
    assert tags[""] == "" and tags["3:2"] == ""
    assert tags["1:1"] == "loses 33 %"  # 120 x 80: a third of the width
    field = chooser.fields["crop"]
    field.edit.selectAll()
    QTest.keyClicks(field.edit, "2:1")
    settle(window, qtbot)
    assert (window.session.photograph.width, window.session.photograph.height) == (120, 60)
    QTest.keyClick(field.edit, Qt.Key.Key_Escape)
    settle(window, qtbot)
    assert window.session.photograph.height == 80
    assert window.session.setting.crop == ""


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_another_picture_keeps_the_shape(window: MainWindow, tmp_path: Path, qtbot) -> None:
    """A series is ordered for the same frames; which part is kept belongs to each picture."""
    other = tmp_path / "other.png"
    Image.fromarray(np.full((80, 200, 3), 90, np.uint8)).save(other)
    window.session.change(crop="1:1", crop_place=0.0)
    settle(window, qtbot)
    window.session.open(str(other))
    settle(window, qtbot)
    assert (window.session.photograph.width, window.session.photograph.height) == (80, 80)
    assert window.session.photograph.origin == (60, 0)
