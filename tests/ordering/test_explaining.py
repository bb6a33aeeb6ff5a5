"""What the sheet for the customer says: plain words of what a proof has found."""

from __future__ import annotations

import dataclasses
import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from proofing.catalogue import Catalogue
from proofing.colorimetry import XYZ_to_Lab, delta_E_00
from proofing.engine import Engine
from proofing.findings.advice import Action, Advice
from proofing.findings.finding import Finding
from proofing.findings.kinds import Kind
from proofing.findings.regions import Region
from proofing.findings.words import share_in_words
from proofing.ordering.explaining import Told, _helps, explain
from proofing.ordering.explaining_words import (
    LOSSES,
    captions_of,
    cautions_of,
    correction_sentence,
    place_sentence,
    place_title,
    rendering_sentence,
    stock_standing,
)
from proofing.ordering.explanation import Explanation
from proofing.ordering.pictures import about, details_of, for_srgb, heart_of, pictures_of
from proofing.photograph import Photograph, photograph_from_array
from proofing.photograph.icc import adobe_rgb_profile
from proofing.printing import ColourEase, Intent, shadow_lift
from proofing.printing.correction import correction_for
from proofing.proof import Proof, Prover, prove
from proofing.request import PrintSize, ProofRequest
from proofing.screen import Screen
from proofing.viewing import Look, Room, find_glazing, find_light
from tests import kept

JARGON = ("gamut", "CAM16", "clipped", "colorimetric", "compensation", "D50 white", "bits")


def picture() -> Photograph:
    """A dark coat with a weave on middle grey, as in the tests of the proof, and beside it a field
    of strong green; 640 x 480 px, sRGB, 16 bits."""
    y, x = np.mgrid[0:480, 0:640]
    Y = np.full((480, 640), 0.18)
    weave = 0.002 * (1.0 + 0.6 * np.sin(x / 1.7) * np.sin(y / 1.9))
    coat = (abs(y - 260) < 150) & (abs(x - 220) < 130)
    Y[coat] = weave[coat]
    grey = np.where(Y <= 0.0031308, 12.92 * Y, 1.055 * Y ** (1 / 2.4) - 0.055)  # IEC 61966-2-1
    codes = np.repeat((grey * 65535).astype(np.uint16)[..., None], 3, axis=2)
    codes[:160, 440:] = (5000, 60000, 5000)
    return photograph_from_array(codes, name="coat_and_field.tif")


@cache
def engine() -> Engine:
    return kept.engine()


@cache
def request(stops: float = 0.0, lux: float = 60.0) -> ProofRequest:
    photograph = picture()
    return ProofRequest(
        photograph=photograph,
        stock=Catalogue.load(Path("/nonexistent")).stock("canvas"),
        room=Room(find_light("LED-B2"), lux, find_glazing("float glass")),
        screen=Screen(),
        size=PrintSize(54.2, 40.6),
        distance_m=0.4,
        correction=shadow_lift(photograph.encoding, stops) if stops else None,
    )


@cache
def proof(stops: float = 0.0) -> Proof:
    return Prover(engine(), request(stops)).scan()


def told(**more: Any) -> Told:
    return Told((("coat_and_field.tif", True), (" on canvas.", False)), "2026-11-26", **more)


@cache
def explanation(stops: float = 0.0) -> Explanation:
    found = proof(stops)
    pictures = pictures_of(found.baked, (640, 480))
    before = proof() if stops else None
    return explain(found, pictures, told(note=" two\n lines ", delta_E="ΔE00: …"), before=before)


def all_sentences(said: Explanation) -> list[str]:
    places = [text for one in said.places for text in (one.title, one.sentence)]
    return [said.subtitle, *places, said.shares, *said.done, *said.cautions,
            *(one.words for one in said.standings)]  # fmt: skip


# ---- from a proof to a sheet ---------------------------------------------------------------


def test_places_are_those_of_the_proof_in_its_order() -> None:
    """What is known to be lost is numbered: the coat's weave and the green; no more."""
    said = explanation()
    assert [place.kind for place in said.places] == [Kind.BLOCKED_SHADOWS, Kind.OUT_OF_GAMUT]
    assert [place.number for place in said.places] == [1, 2]
    shown = proof().shown(frozenset(LOSSES))
    assert [place.box for place in said.places] == [found.region.box for found in shown]
    coat, green = said.places
    assert corners(coat.box) == pytest.approx(np.array([90, 110, 350, 410]), abs=16)
    assert corners(green.box) == pytest.approx(np.array([440, 0, 640, 160]), abs=16)
    assert green.share == pytest.approx(200 * 160 / (640 * 480), rel=0.1)
    assert "greens print" in green.title.lower()


def corners(box: tuple[int, int, int, int]) -> Any:
    x, y, width, height = box
    return np.array([x, y, x + width, y + height])


def test_kinds_can_be_left_out_and_the_screens_never_count() -> None:
    """Marks that are off are not numbered; what only a screen lacks is none of a print's losses."""
    pictures = explanation().pictures
    said = explain(proof(), pictures, told(), kinds=frozenset({Kind.OUT_OF_GAMUT}))
    assert {place.kind for place in said.places} == {Kind.OUT_OF_GAMUT}
    assert not {Kind.BEYOND_SCREEN, Kind.BANDING_RISK} & set(LOSSES)
    only_screen = frozenset({Kind.BEYOND_SCREEN, Kind.BANDING_RISK})
    assert explain(proof(), pictures, told(), kinds=only_screen).places == ()


def test_a_correction_is_told_with_losses_before_and_after() -> None:
    """The shares are those of two proofs; fewer shadows are blocked with the lift."""
    said = explanation(1.0)
    assert said.done[0].startswith("The shadows are lifted by 1 stop for this print")
    changes = {change.kind: change for change in said.changes}
    blocked = changes[Kind.BLOCKED_SHADOWS]
    assert blocked.before == proof().share(Kind.BLOCKED_SHADOWS)
    assert blocked.after == proof(1.0).share(Kind.BLOCKED_SHADOWS) < blocked.before
    assert Kind.CLIPPED_IN_FILE not in changes
    plain = explanation()
    assert plain.changes == ()
    assert plain.done[0] == "No correction is set: the file is printed as it is."


def test_the_words_are_plain() -> None:
    """No word of colour science but the unit, which a footnote explains; no template is left."""
    for said in (explanation(), explanation(1.0)):
        for text in all_sentences(said):
            assert text.strip()
            assert "{" not in text
            assert not any(word in text for word in JARGON), text
        words = [one for place in said.places for one in (place.sentence, *place.helps)]
        assert not any("ΔE00" in place.sentence for place in said.places)
        assert ("ΔE00: …" in said.footnotes) == any("ΔE00" in one for one in words)


def test_size_distance_and_standing_are_told() -> None:
    """Numbers by hand: 640 px on 54.2 mm are 300 ppi; the pane is named, and what is typical."""
    said = explanation()
    assert said.subtitle == "A print of 5.4 × 4.1 cm on canvas, seen from 40 cm"
    assert said.size[0].startswith("At 5.4 × 4.1 cm the file gives 300 ppi")
    assert "detail finer than about 150 ppi" in said.size[2]
    titles = [one.title for one in said.standings]
    assert titles[0] == "The paper, canvas"
    assert "The pane, float glass" in titles
    assert said.standings[0].words.startswith("typical of its class")
    assert "2010" in said.standings[0].source
    assert "CIE 015:2018" in said.standings[1].source
    assert any("flicker" in caution for caution in said.cautions)
    assert any("conservator" in caution for caution in said.cautions)
    assert said.note == "two lines"


def test_what_the_file_can_do_is_told_beside_what_is_best() -> None:
    """Dark places in a dim room: more light is the first advice, a lift that helps, too, is told
    as well."""
    advised = prove(engine(), request())
    said = explain(advised, explanation().pictures, told())
    dark = [n for n, one in enumerate(said.places) if one.kind is Kind.BLOCKED_SHADOWS]
    found = advised.shown(frozenset(LOSSES))
    told_of = 0
    for n in dark:
        lift = [a.sentence for a in found[n].advice if a.action is Action.LIFT]
        assert said.places[n].helps[:1] == (found[n].advice[0].sentence,)
        assert all(one in said.places[n].helps for one in lift)
        told_of += bool(lift)
    assert told_of
    lift, more, ease, duller, far = (
        Advice(action, action.value, setting)
        for action, setting in (
            (Action.LIFT, ("shadow_lift", 0.5)),
            (Action.LIGHT, ("illuminance_lux", 200.0)),
            (Action.EASE, ("colour_ease", 50.0)),
            (Action.SATURATION, None),
            (Action.LIFT, None),
        )
    )
    for advice, expected in (
        ((more, lift, ease), ("light", "lift")),  # one correction is enough
        ((more, ease), ("light", "ease")),
        ((duller, more), ("light",)),  # a duller file helps no customer
        ((more, far), ("light",)),  # a lift beyond what there is
        ((lift,), ("lift",)),
        ((), ()),
    ):
        assert _helps(dataclasses.replace(finding(Kind.BLOCKED_SHADOWS), advice=advice)) == expected


def test_json_is_plain_and_whole() -> None:
    """It can be written without help, and holds boxes and lines in pixels of the file."""
    said = explanation(1.0)
    report = json.loads(json.dumps(said.as_dict(), allow_nan=False))
    fields = {field.name for field in dataclasses.fields(said)} - {"pictures"}
    assert set(report) == fields
    assert report["sentence"] == "coat_and_field.tif on canvas."
    assert report["picture_px"] == [640, 480]
    for one in report["places"]:
        x, y, width, height = one["box"]
        assert 0 <= x < x + width <= 640 and 0 <= y < y + height <= 480
        points = [point for line in one["outlines"] for point in line]
        assert points and all(0 <= px <= 640 and 0 <= py <= 480 for px, py in points)


def test_places_of_a_crop_are_told_in_pixels_of_the_file_too() -> None:
    """The field of green begins at column 440 and row 0 of the file, wherever the crop begins; what
    the file holds in a box told so is that field."""
    whole = picture()
    part = whole.part((200, 32, 640, 432))
    found = Prover(engine(), dataclasses.replace(request(), photograph=part)).scan()
    report = explain(found, explanation().pictures, told()).as_dict()
    assert (report["origin_px"], report["picture_px"]) == ([200, 32], [440, 400])
    green = next(one for one in report["places"] if one["kind"] == Kind.OUT_OF_GAMUT.value)
    x, y, width, height = green["box_in_file"]
    assert [x - 200, y - 32, width, height] == green["box"]
    held = whole.codes[y : y + height, x : x + width]
    assert (held == (5000, 60000, 5000)).all(axis=2).mean() > 0.9
    points = np.concatenate([np.array(line) for line in green["outlines_in_file"]])
    assert points.min(axis=0) == pytest.approx([440, 32], abs=16)


# ---- pictures ------------------------------------------------------------------------------


def test_pictures_are_srgb_at_one_size_and_cannot_be_changed() -> None:
    """The photograph of an sRGB file on an sRGB screen is the file; the print differs from it."""
    made = explanation().pictures
    codes = request().photograph.codes / 257.0
    assert made.size_px == (640, 480)
    assert np.abs(made.photograph.astype(int) - codes).max() <= 1
    assert np.abs(made.print.astype(int) - codes).mean() > 5
    with pytest.raises(ValueError, match="read-only"):
        made.print[0, 0] = 0
    assert pictures_of(proof().baked, (90, 68)).print.shape == (68, 90, 3)


def test_details_are_what_the_pictures_show_there() -> None:
    """A field of green, drawn larger: the file's own pixels about it, and of the print the same
    colour as in the whole picture; of a place at the edge nothing beyond the file."""
    whole = pictures_of(proof().baked, (640, 480))
    boxes = [(0, 0, 640, 200), (440, 0, 200, 160)]
    (green,) = details_of(proof().baked, boxes, (300, 200))  # the other takes too much
    assert green.number == 2
    left, top, width, height = about((440, 0, 200, 160), (640, 480), (300, 200))
    assert (left + width, top) == (640, 0)
    assert width / height == pytest.approx(1.5, abs=0.01)
    assert green.photograph.shape == green.print.shape == (200, 300, 3)
    inside = slice(20, 80), slice(180, 280)  # within the field
    for made, of in ((green.photograph, whole.photograph), (green.print, whole.print)):
        assert np.abs(made[inside].astype(int) - of[60, 540]).max() <= 1
        grey = of[top + height - 5, left + 30].astype(int)
        assert np.abs(made[-3, 30].astype(int) - grey).max() <= 1


def test_enlarged_pixels_stay_pixels() -> None:
    """Nothing is made up between them."""
    small, large = (
        pictures_of(proof().baked, size).photograph for size in ((640, 480), (1280, 960))
    )
    assert (large[::2, ::2] == small).all()
    assert (large[1::2, 1::2] == small).all()


def test_another_screen_is_left_for_srgb_of_its_luminance() -> None:
    """A sheet goes to people whose screens nobody knows."""
    same = request()
    assert for_srgb(same) is same
    wide = dataclasses.replace(same, screen=Screen(adobe_rgb_profile(), 160.0, 0.4))
    assert for_srgb(wide).screen.key == Screen(luminance_cd_m2=160.0).key


# ---- words ---------------------------------------------------------------------------------


def finding(kind: Kind, reason: str = "", **numbers: float) -> Finding:
    region = Region((0, 0, 10, 10), (), 100.0, 0.028, 1.0, "middle left", np.ones((1, 1), bool))
    return Finding(kind, reason, region, numbers, "")


@pytest.mark.parametrize(
    ("whole_px", "shape"),
    [((1800, 1200), (300, 200)), ((1200, 1800), (300, 200)), ((640, 640), (200, 300))],
)
def test_the_heart_of_a_large_place_is_drawn(
    whole_px: tuple[int, int], shape: tuple[int, int]
) -> None:
    """A place along the picture's edge that is wide in one corner: what is drawn is no more than
    half of the sides, lies in the picture, and shows the corner."""
    cell_px = 20
    rows, columns = (-(-side // cell_px) for side in reversed(whole_px))
    cells = np.zeros((rows, columns), bool)
    cells[0], cells[:, 0] = True, True
    cells[: rows // 3, : columns // 4] = True
    found = heart_of(cells, cell_px, (0, 0, *whole_px), whole_px, shape)
    x, y, width, height = about(found, whole_px, shape)
    assert min(x, y) >= 0
    assert x + width <= whole_px[0] and y + height <= whole_px[1]
    assert width <= 0.5 * whole_px[0] and height <= 0.5 * whole_px[1]
    shown = cells[y // cell_px : (y + height) // cell_px, x // cell_px : (x + width) // cell_px]
    assert shown.mean() > 2.0 * cells.mean()
    small = (whole_px[0] // 2, whole_px[1] // 2, 10, 10)
    assert heart_of(cells, cell_px, small, whole_px, shape) == small


@pytest.mark.parametrize(
    ("found", "title", "sentence"),
    [
        (finding(Kind.BLOCKED_SHADOWS, "fine"), "Fine detail in the shadows is lost",
         "Middle left, 2.8 % of the picture: an eye sees it in the file"),
        (finding(Kind.BLOCKED_SHADOWS, "coarse"), "Shapes in the shadows are lost", "no longer"),
        (finding(Kind.BLOWN_HIGHLIGHTS, "fine"), "Fine detail in the highlights is lost", "eye"),
        (finding(Kind.BLOWN_HIGHLIGHTS, "coarse"), "Shapes in the highlights are lost", "eye"),
        (finding(Kind.BLOWN_HIGHLIGHTS, "bare"), "Bare paper", "no ink is laid there"),
        (finding(Kind.CLIPPED_IN_FILE, "the blue channel is at the top"),
         "Lost in the file already", "(the blue channel is at the top). No paper brings that back"),
        (finding(Kind.FLATTENED_COLOUR, "reds"),
         "Strong reds lose their modelling", "look like one"),
        (finding(Kind.FLATTENED_COLOUR, "colours of many hues"),
         "Strong colours lose their modelling", "look like one"),
        (finding(Kind.OUT_OF_GAMUT, "browns", delta_L=0.0, delta_C=-7.0, delta_H=1.0, miss=4.4),
         "Browns print less colourful", "a slight difference from the file."),
        (finding(Kind.OUT_OF_GAMUT, "reds", delta_L=-9.0, delta_C=-1.0, delta_H=1.0, miss=4.5),
         "Reds print darker", "a clear difference"),
        (finding(Kind.OUT_OF_GAMUT, "reds", delta_L=-9.0, delta_C=-1.0, delta_H=1.0, miss=7.0),
         "Reds print darker", "a strong difference"),
    ],
)  # fmt: skip
def test_each_loss_has_its_words(found: Finding, title: str, sentence: str) -> None:
    """What happens, where, how much, and what one will see."""
    assert place_title(found) == title
    assert sentence in place_sentence(found)


def test_every_intent_has_its_words() -> None:
    """And the black is told of only where it is fitted."""
    said = set()
    for intent in Intent:
        for compensation in (True, False):
            asked = dataclasses.replace(
                request(), intent=intent, black_point_compensation=compensation
            )
            said.add(rendering_sentence(asked))
            fitted = compensation and intent is Intent.RELATIVE
            assert ("black of the paper" in rendering_sentence(asked)) == fitted
    assert len(said) == len(Intent) + 1


def test_looks_lights_and_stocks_have_their_words() -> None:
    """How bright the print is shown; strong light is warned of; what is measured is called so."""
    settled, matched = (captions_of(dataclasses.replace(request(), look=look))[1] for look in Look)
    assert settled != matched
    strong = cautions_of(request(lux=1000.0))
    assert any("fade" in said for said in strong)
    stock = request().stock
    described = dataclasses.replace(request(), stock=dataclasses.replace(stock, typical=False))
    assert "typical" in stock_standing(request())
    assert "typical" not in stock_standing(described)
    assert correction_sentence(request()) == ""


# ---- one place, one figure -----------------------------------------------------------------


def two_coats() -> Photograph:
    """Dark weaves of two sizes far apart on middle grey, and a field of strong red."""
    y, x = np.mgrid[0:480, 0:640]
    Y = np.full((480, 640), 0.18)
    weave = 0.004 * (1.0 + 0.6 * np.sin(x / 1.7) * np.sin(y / 1.9))
    coats = ((abs(y - 330) < 130) & (abs(x - 130) < 110)) | ((abs(y - 90) < 60) & (x > 540))
    Y[coats] = weave[coats]
    grey = np.where(Y <= 0.0031308, 12.92 * Y, 1.055 * Y ** (1 / 2.4) - 0.055)  # IEC 61966-2-1
    codes = np.repeat((grey * 65535).astype(np.uint16)[..., None], 3, axis=2)
    codes[300:, 440:] = (60000, 3000, 3000)
    return photograph_from_array(codes, name="two_coats.tif")


@cache
def curved(ease: float = 0.0) -> tuple[ProofRequest, Proof]:
    """Printed on canvas by a curve of one's own that darkens, with all advice."""
    photograph = two_coats()
    stocks = Catalogue.load(Path("/nonexistent"))
    asked = dataclasses.replace(request(), photograph=photograph, stock=stocks.stock("canvas"))
    correction = correction_for(photograph.encoding, ((0.0, 0.0), (0.25, 0.2), (1.0, 1.0)))
    if ease:
        strong = ColourEase(photograph.encoding, asked.stock, asked.rendering, ease)
        correction = correction.with_ease(strong)
    asked = dataclasses.replace(asked, correction=correction)
    others = [stocks.stock(name) for name in ("canvas", "baryta")]
    return asked, prove(engine(), asked, stocks=others)


def lost_at(found: Proof, of: Finding) -> float:
    """Share of the picture lost in the cells of a place, summed over the maps of another scan."""
    height, width = found.request.photograph.codes.shape[:2]
    area = np.full(of.region.cells.shape, float(found.cell_px**2))
    area[-1] *= (height - 1) % found.cell_px / found.cell_px + 1 / found.cell_px
    area[:, -1] *= (width - 1) % found.cell_px / found.cell_px + 1 / found.cell_px
    return float((found.maps[of.kind] * area)[of.region.cells].sum() / (width * height))


def test_figures_of_a_place_are_those_of_scans_of_its_very_print() -> None:
    """With a curve of one's own: each share that is told beside a place is of that place, as it is
    printed and as it would be, by a scan of either print."""
    asked, found = curved()
    said = explain(found, explanation().pictures, told())
    assert len([one for one in said.places if one.kind is Kind.BLOCKED_SHADOWS]) >= 2
    again = Prover(Engine(), asked).scan()
    stock = Catalogue.load(Path("/nonexistent")).stock("baryta")
    other = Prover(Engine(), asked.on(stock)).scan()
    compared = 0
    for one, of in zip(said.places, found.shown(frozenset(LOSSES)), strict=True):
        assert one.share == pytest.approx(lost_at(again, of), rel=1e-4)
        assert f"{share_in_words(one.share)} of the picture" in one.sentence
        for advice in of.advice:
            if advice.action is Action.STOCK and of.kind is Kind.BLOCKED_SHADOWS:
                assert advice.share == pytest.approx(lost_at(other, of), rel=1e-3, abs=1e-6)
                assert f"instead of {share_in_words(one.share)}." in advice.sentence
                compared += 1
    assert compared >= 2


def test_colours_eased_in_are_compared_as_they_are_printed() -> None:
    """The ΔE00 that another stock is compared with is the place's own, and the other stock's is of
    a print with its colours eased in toward that stock."""
    asked, found = curved(0.6)
    said = explain(found, explanation().pictures, told())
    of = next(one for one in found.findings if one.kind is Kind.OUT_OF_GAMUT)
    place = next(one for one in said.places if one.kind is Kind.OUT_OF_GAMUT)
    advice = next(one for one in of.advice if one.action is Action.STOCK)
    miss = f"{of.numbers['miss']:.1f}"
    assert advice.sentence in place.helps
    assert f"instead of {miss}." in advice.sentence
    stock = Catalogue.load(Path("/nonexistent")).stock("baryta")
    red = np.array([[60000, 3000, 3000]]) / 65535.0
    mapped = engine().map_codes(asked.on(stock), red)
    off = delta_E_00(XYZ_to_Lab(mapped.wanted), XYZ_to_Lab(mapped.printed))
    assert f"they print {off.item():.1f} ΔE00 off" in advice.sentence
