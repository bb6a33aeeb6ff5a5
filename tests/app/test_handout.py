"""Pages of a sheet: what stands where, and the files, read back by other libraries."""

from __future__ import annotations

import dataclasses
import io
import itertools
import re
import shutil
import subprocess
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms
from PySide6.QtWidgets import QApplication

from app.handout import writing
from app.handout.blocks import Blocks
from app.handout.composing import Composed, compose
from app.handout.flow import Atom, flow, height_of
from app.handout.geometry import (
    A4,
    LETTER,
    MM,
    PAGES,
    PIXEL,
    PPI,
    Box,
    Page,
    arrange,
    detail_px,
    page_named,
)
from app.handout.parts import Outline, Picture, Plate, Words
from app.handout.pdf import finished
from app.handout.places import number_spots, outlines_on
from app.handout.type import BODY, Paragraph, is_registered
from app.handout.writing import pdf_of, png_pixels, write_sheet
from app.theme import load_fonts
from proofing.errors import OutputError, SettingError
from proofing.language import Speech, speak
from proofing.ordering.explanation import Explanation
from tests.app.explanations import LONG, SCREEN, SIGNS, explanation

POINTS_A4, POINTS_LETTER = (595.276, 841.890), (612.0, 792.0)
"""ISO 216 and ANSI/ASME Y14.1, in points of 1/72 inch."""

POPPLER = pytest.mark.skipif(
    shutil.which("pdftoppm") is None, reason="pdftoppm of poppler-utils is not installed"
)


@pytest.fixture(scope="module", autouse=True)
def _type(qapp_cls: type[QApplication]) -> None:
    """An application with the program's type."""
    QApplication.instance() or qapp_cls([])
    load_fonts()
    assert is_registered()


@pytest.fixture(scope="module")
def sheet() -> tuple[Explanation, Composed, pypdf.PdfReader]:
    """A sheet of two places, and its PDF as pypdf reads it."""
    said = explanation(note="A line from the lab & its “printer”: ≥ 3 prints.")
    composed = compose(said, A4)
    return said, composed, read(composed, said)


def read(composed: Composed, said: Explanation) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf_of(composed, said.title, said.language)), strict=True)


def plain(text: str) -> str:
    return " ".join(text.replace("\u00a0", " ").split())


def texts(said: Explanation) -> Iterator[str]:
    """Every sentence that must be on the pages."""
    yield from (said.title, said.subtitle, said.verdict, *said.captions, said.shares, said.note)
    yield "".join(text for text, _ in said.sentence)
    for place in said.places:
        yield from (place.title, place.sentence, *place.helps)
    yield from (*said.done, *said.size, *said.screen, *said.footnotes, *said.cautions)
    for change in said.changes:
        yield change.title
    for one in said.standings:
        yield from (one.title, one.words, one.source)


# ---- the PDF -------------------------------------------------------------------------------


@pytest.mark.parametrize(("page", "points"), [(A4, POINTS_A4), (LETTER, POINTS_LETTER)])
def test_the_paper_has_the_size_of_its_standard(page: Page, points: tuple[float, float]) -> None:
    """Within half a point, to which the toolkit rounds."""
    said = explanation(page=page)
    reader = read(compose(said, page), said)
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(points, abs=0.5)


def test_every_sentence_can_be_selected(sheet: Any) -> None:
    """In reading order, with ligatures and signs, and no tab for a space.

    pypdf breaks the line wherever the type changes, so that spaces are left out of account.
    """
    said, _, reader = sheet
    raw = "\n".join(page.extract_text() for page in reader.pages)
    assert "\t" not in raw
    found = squeezed(raw)
    for text in (*texts(said), SIGNS):
        assert squeezed(text) in found, text


def test_each_thing_that_would_help_has_its_line() -> None:
    """The first is introduced, what could be done in its stead follows it, in order."""
    said = explanation(places=1)
    place = dataclasses.replace(said.places[0], helps=("More light.", "Lift the shadows."))
    pages = compose(dataclasses.replace(said, places=(place,)), A4).parts
    words = [plain(part.text) for page in pages for part in page if isinstance(part, Words)]
    at = words.index("What would still help: More light.")
    assert words[at + 1] == "Or: Lift the shadows."


@POPPLER
def test_another_reader_finds_the_words_apart(sheet: Any, tmp_path: Path) -> None:
    """pdftotext of poppler, which joins what stands in one line: the words with their spaces."""
    said, composed, _ = sheet
    (tmp_path / "a.pdf").write_bytes(pdf_of(composed, said.title, said.language))
    run = subprocess.run(
        ["pdftotext", "-raw", str(tmp_path / "a.pdf"), "-"], check=True, capture_output=True
    )
    found = plain(run.stdout.decode("utf-8"))
    for text in (*texts(said), SIGNS):
        assert plain(text) in found, text


def test_the_type_is_inside_as_a_subset(sheet: Any) -> None:
    """Each font has its outlines in the file, and far fewer than all."""
    _, _, reader = sheet
    names = set()
    for font in reader.pages[0]["/Resources"]["/Font"].values():
        descendant = font.get_object()["/DescendantFonts"][0].get_object()
        descriptor = descendant["/FontDescriptor"].get_object()
        outlines = descriptor["/FontFile2"].get_object().get_data()
        assert 1_000 < len(outlines) < 60_000
        names.add(font.get_object()["/BaseFont"])
    assert names == {"/Inter-Regular", "/Inter-SemiBold"}


def test_the_output_intent_is_srgb(sheet: Any) -> None:
    """Another library opens the profile, and it gives the primaries of IEC 61966-2-1.

    Lab of the primaries under D50: computed from the matrix of the sRGB profile of the ICC
    (registry, Lindbloom's tables), rounded.
    """
    _, _, reader = sheet
    (intent,) = reader.trailer["/Root"]["/OutputIntents"]
    intent = intent.get_object()
    assert intent["/S"] == "/GTS_PDFA1"
    assert intent["/OutputConditionIdentifier"] == "sRGB IEC61966-2.1"
    data = intent["/DestOutputProfile"].get_object().get_data()
    profile = ImageCms.getOpenProfile(io.BytesIO(data))
    assert profile.profile.xcolor_space.strip() == "RGB"
    to_Lab = ImageCms.buildTransform(profile, ImageCms.createProfile("LAB"), "RGB", "LAB", 1)
    patches = Image.fromarray(
        np.array(
            [[(255, 0, 0), (0, 255, 0), (0, 0, 255), (255, 255, 255), (119, 119, 119)]], np.uint8
        )
    )
    coded = np.asarray(ImageCms.applyTransform(patches, to_Lab)).astype(float)[0]
    L = coded[:, 0] / 2.55
    ab = np.where(coded[:, 1:] > 127, coded[:, 1:] - 256, coded[:, 1:])
    assert pytest.approx([54.3, 87.8, 29.6, 100.0, 50.0], abs=0.7) == L
    assert ab == pytest.approx(
        np.array([[80.8, 69.9], [-79.3, 81.0], [68.3, -112.0], [0, 0], [0, 0]]), abs=1.1
    )


@pytest.mark.parametrize("grey", [False, True])
def test_pictures_are_lossless_and_the_pixels_given(grey: bool) -> None:
    """Flate, never JPEG; every pixel is the one that was handed over."""
    said = explanation(places=0, grey=grey)
    reader = read(compose(said, A4), said)
    found = reader.pages[0]["/Resources"]["/XObject"].values()
    images = [image.get_object() for image in found]
    assert [image["/Filter"] for image in images] == ["/FlateDecode"] * 2
    for image, rgb in zip(images, (said.pictures.photograph, said.pictures.print), strict=True):
        assert image["/ColorSpace"] == "/DeviceRGB"
        data = np.frombuffer(image.get_data(), np.uint8)
        assert (data.reshape(image["/Height"], image["/Width"], 3) == rgb).all()


def test_pictures_are_fine_enough_for_paper(sheet: Any) -> None:
    """As many pixels to the inch as the page has."""
    _, composed, _ = sheet
    for part in composed.parts[0]:
        if isinstance(part, Picture):
            assert part.rgb.shape[1] / (part.box.width / MM / 25.4) == pytest.approx(PPI)


def test_what_is_told_of_the_file(sheet: Any) -> None:
    """Title and language; nobody is named as its author."""
    said, _, reader = sheet
    told = reader.metadata
    assert told.title == said.title
    assert not told.author
    assert told.creator == "stocklight"
    assert told.producer.startswith("Qt ")
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"] is True or bool(
        root["/ViewerPreferences"]["/DisplayDocTitle"]
    )
    assert b"<pdfaid" in (xmp := root["/Metadata"].get_object().get_data()) or b"pdfaid:" in xmp


def test_the_update_leaves_the_bytes_before_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is appended, and what is no such PDF is refused."""
    kept: list[bytes] = []
    monkeypatch.setattr(writing, "finished", lambda data, language: kept.append(data) or data)
    said = explanation(places=1)
    pdf_of(compose(said, A4), said.title, "en")
    made = finished(kept[0], "de-CH")
    assert made.startswith(kept[0])
    assert pypdf.PdfReader(io.BytesIO(made)).trailer["/Root"]["/Lang"] == "de-CH"
    with pytest.raises(OutputError, match="PNG instead"):
        finished(b"%PDF-1.4\nsomething else", "en")


def smooth(said: Explanation) -> Explanation:
    """With gradients for pictures: noise is reduced by each reader in its own way."""
    height, width = said.pictures.print.shape[:2]
    down, across = np.mgrid[0:height, 0:width]
    rgb = np.stack([255 * down / height, 255 * across / width, 90 + 0 * down], axis=2)
    pixels = rgb.astype(np.uint8)
    pictures = dataclasses.replace(said.pictures, photograph=pixels, print=pixels[::-1].copy())
    return dataclasses.replace(said, pictures=pictures)


@POPPLER
def test_another_reader_draws_the_same_page(tmp_path: Path) -> None:
    """The PDF by poppler and our PNG differ no more than two ways of smoothing type do."""
    said = smooth(explanation())
    for name in ("a.pdf", "a.png"):
        write_sheet(said, tmp_path / name)
    subprocess.run(
        ["pdftoppm", "-r", "100", "-png", str(tmp_path / "a.pdf"), str(tmp_path / "page")],
        check=True,
        capture_output=True,
    )
    with Image.open(next(tmp_path.glob("page*.png"))) as image:
        theirs = np.asarray(image.convert("RGB"), float)
        size = image.size
    with Image.open(tmp_path / "a.png") as image:
        ours = np.asarray(image.resize(size, Image.Resampling.BOX), float)
    ink = ours.mean(axis=2) < 250
    assert 0.15 < ink.mean() < 0.6
    # In squares of 2.5 mm, where neither smoothing nor a shift of half a pixel matters.
    height, width = (side // 10 * 10 for side in ours.shape[:2])

    def squares(pixels: Any) -> Any:
        return pixels[:height, :width].reshape(height // 10, 10, width // 10, 10, 3).mean((1, 3))

    off = np.abs(squares(ours) - squares(theirs))
    assert off.mean() < 2.0
    assert np.percentile(off, 99.5) < 25.0
    for part in compose(said, A4).parts[0]:
        if isinstance(part, Picture):  # its lower part, which bears no outline
            box, scale = part.box, 100.0 / 25.4 / MM
            rows = slice(int((box.y + 0.7 * box.height) * scale), int(box.bottom * scale) - 2)
            columns = slice(int(box.x * scale) + 3, int(box.right * scale) - 2)
            assert np.abs(ours[rows, columns] - theirs[rows, columns]).max() < 4.0


# ---- the PNG -------------------------------------------------------------------------------


def test_the_png_has_profile_size_and_the_pixels_given(tmp_path: Path) -> None:
    """A page at its ppi; where nothing is outlined, each pixel is the picture's."""
    said = explanation(places=0)
    write_sheet(said, tmp_path / "a.png")
    with Image.open(tmp_path / "a.png") as image:
        assert image.info["dpi"] == pytest.approx((PPI, PPI), abs=0.02)
        profile = ImageCms.getOpenProfile(io.BytesIO(image.info["icc_profile"]))
        assert "sRGB" in profile.profile.profile_description
        assert image.text["Title"] == said.title
        pixels = np.asarray(image)
    assert pixels.shape == (2923, 2067, 3)  # 297 and 210 mm at 250 ppi
    for part in compose(said, A4).parts[0]:
        if isinstance(part, Picture):
            x, y = round(part.box.x / PIXEL), round(part.box.y / PIXEL)
            height, width = part.rgb.shape[:2]
            assert (pixels[y : y + height, x : x + width] == part.rgb).all()


def test_more_pages_lie_below_each_other() -> None:
    """One picture, as high as its pages."""
    said = explanation(places=8, words=LONG)
    composed = compose(said, A4)
    assert len(composed.parts) > 1
    assert png_pixels(composed).shape == (2923 * len(composed.parts), 2067, 3)


def test_a_worker_draws_the_same(tmp_path: Path) -> None:
    """A window asks its worker."""
    said = explanation()
    threads = [
        threading.Thread(target=write_sheet, args=(said, tmp_path / name))
        for name in ("a.png", "b.png", "c.pdf")
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    write_sheet(said, tmp_path / "main.png")
    main = (tmp_path / "main.png").read_bytes()
    assert (tmp_path / "a.png").read_bytes() == main == (tmp_path / "b.png").read_bytes()
    assert pypdf.PdfReader(tmp_path / "c.pdf").pages


def test_a_file_is_whole_or_not_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is there stays unless it is to be replaced, and a failure leaves nothing."""
    path = tmp_path / "a.pdf"
    path.write_bytes(b"an earlier sheet")
    said = explanation(places=1)
    with pytest.raises(OutputError, match="--overwrite"):
        write_sheet(said, path)
    with pytest.raises(OutputError, match="being read"):
        write_sheet(said, path, inputs=[path], overwrite=True)

    def fail(*_: Any) -> bytes:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writing, "finished", fail)
    with pytest.raises(OutputError, match="No space left"):
        write_sheet(said, path, overwrite=True)
    assert [each.name for each in tmp_path.iterdir()] == ["a.pdf"]
    assert path.read_bytes() == b"an earlier sheet"
    monkeypatch.undo()
    write_sheet(said, path, overwrite=True)
    assert path.read_bytes().startswith(b"%PDF-1.4")


# ---- where things lie ----------------------------------------------------------------------

CASES: dict[str, dict[str, Any]] = {
    "usual": {},
    "nothing lost": {"places": 0, "changes": ()},
    "many places": {"places": 8},
    "long words": {"places": 8, "words": LONG},
    "very long words": {"places": 8, "words": 3 * LONG},
    "long names": {
        "title": "the_whole_procession_of_the_" * 8 + ".tif",
        "subtitle": "A print on " + "Musterfotopapierbezeichnung" * 8,
        "note": "We thank you. " * 28,
        "sentence": (("a" * 200, True), (" on ", False), ("b c " * 60, True)),
    },
    "portrait": {"picture_px": (1000, 1500)},
    "tall strip": {"picture_px": (300, 3000)},
    "panorama": {"picture_px": (6000, 1500)},
    "wide strip": {"picture_px": (9000, 300), "places": 5},
    "tiny": {"picture_px": (2, 1), "places": 1},
}


@pytest.mark.parametrize("page", PAGES.values(), ids=lambda page: page.name)
@pytest.mark.parametrize("case", CASES)
def test_nothing_runs_over_and_nothing_is_left_out(case: str, page: Page) -> None:
    """Every part lies within the margins, no words lie on others, and all that is said is there."""
    said = explanation(page=page, **CASES[case])
    composed = compose(said, page)
    for parts in composed.parts:
        words = [part for part in parts if isinstance(part, Words) and part.text.strip()]
        for part in parts:
            foot = part.box.y >= page.foot - 1.0
            if isinstance(part, Words) and foot:
                assert page.box.grown(-6 * MM).contains(part.box)
            else:
                assert page.content.contains(part.box), part
        for one, other in itertools.combinations(words, 2):
            assert not overlap(one, other), (one.text, other.text)
    found = plain(" ".join(
        part.text for parts in composed.parts for part in parts if isinstance(part, Words)
    ).replace("\u2028", ""))  # fmt: skip
    for text in texts(said):
        assert squeezed(text) in squeezed(found), text
    if case in ("usual", "nothing lost", "tiny"):
        assert len(composed.parts) == 1
    if case not in ("very long words", "long names", "long words"):
        assert len(composed.parts) <= 2


def squeezed(text: str) -> str:
    """Without spaces, as a long word is broken anywhere."""
    return "".join(text.split())


def overlap(one: Words, other: Words) -> bool:
    a, b, slack = one.box, other.box, 1.0
    return (
        a.x < b.right - slack
        and b.x < a.right - slack
        and a.y < b.bottom - slack
        and b.y < a.bottom - slack
    )


def test_the_file_has_its_words_where_the_parts_say() -> None:
    """As pypdf finds them: within the margins of every page."""
    said = explanation(places=8, words=LONG)
    reader = read(compose(said, A4), said)
    points = 72.0 / 25.4
    seen = 0
    for page in reader.pages:

        def visit(text: str, cm: Any, tm: Any, font: Any, size: float) -> None:
            nonlocal seen
            if text.strip():
                matrix = pypdf.Transformation(tuple(tm)).transform(pypdf.Transformation(tuple(cm)))
                x, y = matrix.ctm[4:]
                assert 17.5 * points <= x <= (210 - 17.5) * points
                assert 9 * points <= y <= (297 - 15) * points
                seen += 1

        page.extract_text(visitor_text=visit)
    assert seen > 50


def test_longer_languages_fit() -> None:
    """Own words of the pages half as long again, as German can be; the same two pages at most."""
    half = re.compile(r"[{][^}]*[}]|[^A-Za-z ]")
    before = speak(
        Speech(lambda text, one, n: f"{text} {half.sub('', text)[: len(text) // 2]}".rstrip())
    )
    try:
        said = explanation(places=8)
        composed = compose(said, A4)
    finally:
        speak(before)
    assert len(composed.parts) <= 2
    for parts in composed.parts:
        for part in parts:
            assert page_within(part)


def page_within(part: Any) -> bool:
    return A4.content.contains(part.box) or part.box.y >= A4.foot - 1.0


def test_type_never_gets_too_small() -> None:
    """Words go on to another page before they cannot be read: 7.9 points is the least."""
    for case in CASES.values():
        assert 9.0 * compose(explanation(**case), A4).scale >= 7.9


@pytest.mark.parametrize("picture_px", [(1500, 1000), (1000, 1500), (6000, 1500), (1000, 1000)])
def test_both_pictures_have_one_scale_and_the_shape_of_the_file(
    picture_px: tuple[int, int],
) -> None:
    """Within a pixel; beside each other, or above each other where they become larger."""
    way = arrange(A4, picture_px)
    width, height = way.size_px
    assert width / height == pytest.approx(picture_px[0] / picture_px[1], abs=2.0 / height * 4)
    assert way.stacked == (picture_px == (6000, 1500))
    said = explanation(picture_px=picture_px)
    pictures = [part for part in compose(said, A4).parts[0] if isinstance(part, Picture)]
    assert [(p.box.width, p.box.height) for p in pictures] == [way.size] * 2


def test_pages_have_names() -> None:
    """Another one is refused, with those there are."""
    assert page_named(" A4 ") is A4
    with pytest.raises(SettingError, match="a4 or letter"):
        page_named("a3")


# ---- places --------------------------------------------------------------------------------


def test_numbers_are_the_same_in_the_list_and_on_both_pictures() -> None:
    """Each stands three times, twice within its picture, near its own outline, hiding none."""
    said = explanation(places=8)
    parts = compose(said, A4).parts
    plates = [part for page in parts for part in page if isinstance(part, Plate)]
    pictures = [part for part in parts[0] if isinstance(part, Picture)]
    outlines = [part for part in parts[0] if isinstance(part, Outline)]
    for number in range(1, 9):
        ringed = [p.ringed for p in plates if p.number == number]
        assert ringed[:3] == [True, True, False]
        assert all(ringed[3:])  # drawn larger
    on_pictures = [part for part in parts[0] if isinstance(part, Plate) and part.ringed]
    for picture in pictures:
        inside = [plate for plate in on_pictures if picture.box.contains(plate.box)]
        assert [plate.number for plate in inside] == list(range(1, 9))
        spots = [(plate.x, plate.y) for plate in inside]
        for one, other in itertools.combinations(spots, 2):
            assert np.hypot(one[0] - other[0], one[1] - other[1]) >= 4.4 * MM
        assert sum(outline.box == picture.box for outline in outlines) == 8
    first = {(p.number, round(p.x - pictures[0].box.x), round(p.y - pictures[0].box.y))
             for p in on_pictures[:8]}  # fmt: skip
    second = {(p.number, round(p.x - pictures[1].box.x), round(p.y - pictures[1].box.y))
              for p in on_pictures[8:]}  # fmt: skip
    assert first == second


def test_specks_and_holes_are_left_out_and_a_place_without_lines_has_a_box() -> None:
    """What cannot be told apart on paper is in the JSON alone."""
    said = explanation(places=1)
    box = next(p.box for p in compose(said, A4).parts[0] if isinstance(p, Picture))
    place = said.places[0]
    speck = place.outlines[0] * 0.02
    with_speck = dataclasses.replace(place, outlines=(speck, *place.outlines))
    assert len(outlines_on(with_speck, said.picture_px, box)) == 1
    (corners,) = outlines_on(dataclasses.replace(place, outlines=()), said.picture_px, box)
    assert len(corners) == 4


@given(st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)), min_size=1, max_size=8))
def test_numbers_never_hide_each_other(middles: list[tuple[float, float]]) -> None:
    """Wherever places lie, also all at one point, while the picture has room."""
    box = Box(1800.0, 5000.0, 7400.0, 4900.0)
    angle = np.linspace(0.0, 2.0 * np.pi, 12)
    ring = np.column_stack([np.cos(angle), np.sin(angle)]) * 300.0
    corner, size = np.array([box.x, box.y]), np.array([box.width, box.height])
    places = [[ring + corner + size * middle] for middle in middles]
    spots = number_spots(places, box, 520.0)
    for x, y in spots:
        assert box.x + 259 <= x <= box.right - 259
        assert box.y + 259 <= y <= box.bottom - 259
    for one, other in itertools.combinations(spots, 2):
        assert np.hypot(one[0] - other[0], one[1] - other[1]) >= 519.0


@pytest.mark.parametrize("ground", [0, 60, 119, 180, 255])
def test_an_outline_reads_on_any_grey(ground: int) -> None:
    """Against black, white and all between, without colour: half of full contrast and more."""
    said = explanation(places=1)
    rgb = np.full_like(said.pictures.print, ground)
    pictures = dataclasses.replace(said.pictures, photograph=rgb, print=rgb)
    composed = compose(dataclasses.replace(said, pictures=pictures), A4)
    pixels = png_pixels(composed).astype(int)
    picture = next(part for part in composed.parts[0] if isinstance(part, Picture))
    x, y = round(picture.box.x / PIXEL), round(picture.box.y / PIXEL)
    inside = pixels[y : y + rgb.shape[0], x : x + rgb.shape[1]]
    assert np.ptp(inside, axis=2).max() == 0  # grey all over
    assert np.abs(inside - ground).max() >= 119


# ---- running on ----------------------------------------------------------------------------


def atom(height: float, number: int, **more: Any) -> Atom:
    return Atom(height, lambda x, y: [number], **more)  # type: ignore[list-item]


@given(
    st.lists(
        st.tuples(st.floats(1.0, 30.0), st.floats(0.0, 5.0), st.booleans(), st.booleans()),
        max_size=40,
    ),
    st.floats(40.0, 120.0),
)
def test_words_run_on_in_order(rows: list[tuple[float, float, bool, bool]], limit: float) -> None:
    """Nothing is lost or turned round, nothing stands below a page, no heading ends a column."""
    atoms, held = [], 0
    for i, (height, before, holds, opens) in enumerate(rows):
        holds = holds and held < 1 and i < len(rows) - 1  # as a heading and its first lines
        held = held + 1 if holds else 0
        atoms.append(atom(min(height, limit / 3), i, before=before, holds_next=holds, opens=opens))
    pages = flow(atoms, limit, limit)
    columns = [column for page in pages for column in page]
    numbers = [part for column in columns for each in column for part in each.place(0.0, 0.0)]
    assert numbers == list(range(len(rows)))
    for column in columns:
        assert height_of(column) <= limit + 1e-3
        assert not column or not column[-1].holds_next


def test_columns_end_alike_and_with_a_section_where_that_costs_little() -> None:
    """Sections of 10, 10, 12 and 10: two on either side."""
    sections = [atom(h, i, opens=True) for i, h in enumerate((10.0, 10.0, 12.0, 10.0))]
    ((left, right),) = flow(sections, 100.0, 100.0)
    assert [len(left), len(right)] == [2, 2]


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 8), st.floats(60.0, 240.0), st.floats(60.0, 240.0), st.booleans())
def test_no_column_begins_or_ends_without_its_fellows(
    places: int, first_mm: float, later_mm: float, is_long: bool
) -> None:
    """At the head of every column stands a heading, its own or one that says that it goes on; none
    stands last, and a numbered place is not torn."""
    said = explanation(places=places, words=LONG if is_long else "")
    atoms = Blocks(A4.column_width, 1.0).of(said)
    columns = [c for page in flow(atoms, first_mm * MM, later_mm * MM) for c in page if c]
    assert len(columns) > 1
    for column in columns:
        assert column[0].opens
        assert not column[-1].holds_next
        parts = [part for each in column for part in each.place(0.0, 0.0)]
        plates = sum(isinstance(part, Plate) for part in parts)
        helps = sum(isinstance(p, Words) and "What would still help" in p.text for p in parts)
        assert plates == helps
    heads = [part.text for c in columns for part in c[0].place(0.0, 0.0) if isinstance(part, Words)]
    ends = ", continued"
    known = {head.removesuffix(ends) for head in heads if not head.endswith(ends)}
    own = {p.text for a in atoms if a.opens for p in a.place(0.0, 0.0) if isinstance(p, Words)}
    assert known <= own
    assert {head.removesuffix(ends) for head in heads} <= own


def test_one_page_where_pictures_a_little_smaller_make_it_one() -> None:
    """What would end at the head of a second page is brought onto the first; both pictures stay
    alike, at a whole pixel of the page, and no smaller than seven tenths."""
    said = explanation(places=3, words=LONG)
    composed = compose(said, A4)
    assert len(composed.parts) == 1
    largest = arrange(A4, said.picture_px).size_px
    found = [part for part in composed.parts[0] if isinstance(part, Picture)]
    assert len({part.rgb.shape for part in found}) == 1
    height, width = found[0].rgb.shape[:2]
    assert 0.69 * largest[0] <= width < largest[0]
    assert found[0].box.width == pytest.approx(width * PIXEL)
    assert width / height == pytest.approx(largest[0] / largest[1], abs=0.01)


@pytest.mark.parametrize("page", [A4, LETTER])
def test_a_second_page_is_used(page: Page) -> None:
    """Places are drawn larger below its words: photograph and print of each beside each other,
    under one number, within the margins, as they were made or smaller; and the page is filled."""
    said = explanation(page=page, places=4, words=LONG)
    first, last = compose(said, page).parts
    found = [part for part in last if isinstance(part, Picture)]
    assert len(found) >= 2 and len(found) % 2 == 0
    across, _ = detail_px(page)
    for number, (left, right) in enumerate(zip(found[::2], found[1::2], strict=True), start=1):
        assert (left.rgb == 20 * number).all() and (right.rgb == 20 * number + 9).all()
        assert left.box.y == right.box.y and left.box.right < right.box.x
        assert 0.6 * across <= left.rgb.shape[1] <= across
        plates = [p for p in last if isinstance(p, Plate) and p.number == number]
        for picture in (left, right):
            assert any(picture.box.contains(plate.box) for plate in plates)
    content = page.content
    assert all(content.contains(part.box) for part in found)
    low = max(part.box.bottom for part in last if part.box.y < page.foot - 1.0)
    assert low > content.y + 0.6 * content.height
    assert not [part for part in first if isinstance(part, Picture)][2:]


def test_a_long_paragraph_keeps_two_lines_on_either_side() -> None:
    """No line stands alone."""
    blocks = Blocks(8400.0, 1.0)
    blocks.text(LONG * 3)
    line = BODY.line
    assert blocks.atoms[0].height == pytest.approx(2 * line)
    assert blocks.atoms[-1].height == pytest.approx(2 * line)
    assert sum(a.height for a in blocks.atoms) == pytest.approx(
        Paragraph(LONG * 3, BODY, 8400.0).height
    )


def test_a_number_stays_with_its_unit() -> None:
    """However narrow the column, no line begins with a unit or a sign between two numbers."""
    text = "At 60 × 40 cm and 150 lx on 76 ppi, 43 cd/m² of 11 % by 2 stops. " * 6
    for width in np.linspace(1500.0, 8000.0, 12):
        paragraph = Paragraph(text, BODY, float(width))
        for i in range(len(paragraph.lines)):
            first = paragraph.words(i, i + 1).split("\u00a0")[0].split(" ")[0]
            assert first.strip(",.") not in ("×", "cm", "lx", "ppi", "cd/m²", "%", "stops")


def test_the_said_screen_is_there(sheet: Any) -> None:
    """The note on screen and print is on the page, whole."""
    assert plain(SCREEN) in plain(sheet[2].pages[0].extract_text())
