"""The summary of a run as one page that needs nothing beside it: what needs a look first on top.

Plain HTML that is well-formed XML too; pictures are inside it, no script, nothing from elsewhere.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from app.many.markup import element, text
from app.many.page_style import STYLE
from proofing.findings.words import share_in_words
from proofing.language import counted, mark, numeral, speech, tr
from proofing.ordering.ranking import TIED_WITHIN, Standing
from proofing.ordering.summary import Report
from proofing.ordering.triage import WEIGHTS, Concern, Grade

_TITLES = {"order": mark("Photographs ordered"), "compare": mark("Photographs compared")}
_HEADS = {
    Grade.NEEDS: mark("Needs a look"),
    Grade.WORTH: mark("Worth a look"),
    Grade.FINE: mark("Fine"),
}
_CONCERNS = {
    Concern.EMPTY: mark("nothing in it"),
    Concern.ROOM: mark("no room to judge a print in"),
    Concern.DETAIL: mark("detail lost"),
    Concern.COLOUR: mark("colours out of gamut"),
    Concern.CLIPPED: mark("clipped in the file"),
    Concern.UNSHARP: mark("too few pixels"),
    Concern.PROFILE: mark("no usable profile"),
    Concern.WEAKENED: mark("detail weakened"),
    Concern.SPACE: mark("colours cut off by the file's space"),
    Concern.LAMP: mark("colours turned by the lamp"),
    Concern.STEPS: mark("steps"),
    Concern.STOCK: mark("another stock"),
}
_STANDINGS = {
    Standing.TIED.value: mark("as good as equal"),
    Standing.CLOSE.value: mark("a close call"),
    Standing.BEHIND.value: mark("behind"),
}
_LEAST = 0.0005  # shares that would be told as 'under 0.1 %' are left out of a card


@dataclass(frozen=True)
class Page:
    """What a page tells.

    Attributes
    ----------
    command
        ``'order'`` or ``'compare'``.
    sentence
        The setting.
    counts
        How many are in which class.
    reports
        In the order of the summary.
    pending
        Files that were not worked on yet.
    folder
        Where the page will lie; links lead from there.
    """

    command: str
    sentence: str
    counts: str
    reports: Sequence[Report]
    pending: Sequence[str]
    folder: Path


def page_of(page: Page) -> str:
    """The page as a text."""
    language = (speech().language or "en").replace("_", "-")
    title = text(tr(_TITLES[page.command]))
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("meta", name="color-scheme", content="light dark"),
        element("title", title),
        element("style", STYLE),
    )
    body = element(
        "body",
        element(
            "header",
            element("h1", title),
            element("p", text(page.sentence), class_="sentence"),
            element("p", text(page.counts), class_="counts"),
            _points(page),
            _pending(page),
            _navigation(page),
        ),
        element("main", *(_section(page, grade) for grade in Grade)),
        _weights(),
    )
    whole = element("html", head, body, lang=language, xmlns="http://www.w3.org/1999/xhtml")
    return "<!DOCTYPE html>" + whole


def _of(page: Page, grade: Grade) -> list[Report]:
    return [report for report in page.reports if report["look"]["grade"] == grade.value]


def _navigation(page: Page) -> str:
    links = [
        element("a", text(_head(grade, len(found))), href=f"#{grade.value}")
        for grade in Grade
        if (found := _of(page, grade))
    ]
    links.append(element("a", text(tr("How this is weighed")), href="#weights"))
    items = element("ul", *(element("li", link) for link in links))
    return element("nav", items, aria_label=tr("Parts of this page"))


def _head(grade: Grade, count: int) -> str:
    return f"{tr(_HEADS[grade])} ({count})"


def _points(page: Page) -> str:
    """What the points beside the stocks are, and when they tell nothing."""
    if page.command != "compare":
        return ""
    said = tr(
        "Points say how well a stock suits a picture, of 100; less than {tied:g} apart is a tie. "
        "They do not grade the photograph: the end of this page tells how its need of a look is "
        "weighed.",
        tied=TIED_WITHIN,
    )
    return element("p", text(said), class_="points")


def _pending(page: Page) -> str:
    if not page.pending:
        return ""
    said = counted(
        "The run was stopped: {n} photographs are still to be worked on. The same command goes on.",
        "The run was stopped: {n} photograph is still to be worked on. The same command goes on.",
        len(page.pending),
    )
    return element("p", text(said), class_="pending")


def _section(page: Page, grade: Grade) -> str:
    found = _of(page, grade)
    if not found:
        return ""
    head = f"head-{grade.value}"
    return element(
        "section",
        element("h2", text(_head(grade, len(found))), id=head),
        element("ol", *(_card(page, report) for report in found)),
        id=grade.value,
        class_=grade.value,
        aria_labelledby=head,
    )


# ---- one photograph --------------------------------------------------------------------------


def _card(page: Page, report: Report) -> str:
    name = Path(report["file"]).name
    head = element("h3", _link(report["file"], page.folder, name))
    if report["error"] is not None:
        said = head, element("p", text(report["error"]), class_="reason")
        return _item(element("div", class_="none"), *said)
    is_fine = report["look"]["grade"] == Grade.FINE.value
    remarks = [element("li", text(remark)) for remark in report["file_check"]]
    return _item(
        element("div", _picture(report, name), class_="picture"),
        head,
        "" if is_fine else element("p", text(report["look"]["reason"]), class_="reason"),
        element("p", text(report["verdict"])),
        _choice(report),
        _shares(report),
        element("ul", *remarks, class_="remarks") if remarks else "",
        element("p", text(_facts(report)), class_="facts"),
        _order(page, report),
    )


def _item(picture: str, *said: str) -> str:
    return element("li", picture, element("div", *said, class_="said"), class_="card") + "\n"


def _picture(report: Report, name: str) -> str:
    width, height = _thumbnail_size(report)
    return element(
        "img",
        src=f"data:image/jpeg;base64,{report['thumbnail']}",
        alt=tr("{name}, a small picture of the photograph", name=name),
        width=width,
        height=height,
    )


def _order(page: Page, report: Report) -> str:
    if "order" not in report:
        return ""
    file = report["order"]["file"]
    said = text(tr("Order file:"))
    return element("p", said, " ", _link(file, page.folder, Path(file).name), class_="facts")


def _thumbnail_size(report: Report) -> tuple[int, int]:
    from app.many.thumbnail import SIDE

    width, height = report["photograph"]["width"], report["photograph"]["height"]
    scale = min(1.0, SIDE / max(width, height))
    return max(1, round(width * scale)), max(1, round(height * scale))


def _link(path: str, folder: Path, name: str) -> str:
    """A link from the page to a file, relative where there is such a way."""
    try:
        way = os.path.relpath(path, folder)
    except ValueError:  # another drive
        return element("a", text(name), href=Path(path).absolute().as_uri())
    address = quote(os.fsencode(way.replace(os.sep, "/")))
    return element("a", text(name), href=address)


def _shares(report: Report) -> str:
    """The losses in short, the largest first."""
    told = [each for each in report["marks"] if each["share"] >= _LEAST]
    told.sort(key=lambda each: -each["share"])
    pairs = [
        element("div", element("dt", text(each["title"])),
                element("dd", text(share_in_words(each["share"]))))
        for each in told
    ]  # fmt: skip
    return element("dl", *pairs) if pairs else ""


def _facts(report: Report) -> str:
    facts, size = report["photograph"], report["print"]
    return tr(
        "{width} × {height} px, {mode}, {bits} bits, {space}; printed {print_width:.1f} × "
        "{print_height:.1f} cm at {ppi:.0f} ppi, seen from {distance:.2g} m.",
        width=facts["width"],
        height=facts["height"],
        mode=facts["mode"],
        bits=facts["bits"],
        space=facts["space"],
        print_width=size["width_mm"] / 10.0,
        print_height=size["height_mm"] / 10.0,
        ppi=size["ppi"],
        distance=size["distance_m"],
    )


def _choice(report: Report) -> str:
    choice = report.get("choice")
    if not choice or choice["best"] is None:
        return ""
    best = tr("Best here: {stock}, {points:.1f} points.", stock=tr(choice["best"]),
              points=choice["best_points"])  # fmt: skip
    if choice["chosen_points"] is None:
        said = best
    elif choice["to_the_best"] is None:
        said = tr("{best} It is the one chosen.", best=best)
    else:
        said = tr(
            "{best} The chosen {stock} has {points:.1f}: {standing}.",
            best=best,
            stock=tr(choice["chosen"]),
            points=choice["chosen_points"],
            standing=tr(_STANDINGS[choice["to_the_best"]]),
        )
    others = ", ".join(
        f"{tr(stock['stock'])} {numeral(format(stock['points'], '.1f'))}"
        for stock in report["comparison"]["stocks"]
    )
    return element("p", text(said)) + element("p", text(others), class_="facts")


# ---- how it is weighed -----------------------------------------------------------------------


def _weights() -> str:
    heads = (
        tr("concern"), tr("most points"), tr("worth a look above"), tr("needs one from"),
        tr("counted in"), tr("why"),
    )  # fmt: skip
    rows = [
        element(
            "tr",
            element("th", text(tr(_CONCERNS[concern])), scope="row"),
            *(
                element("td", text(cell))
                for cell in (
                    numeral(f"{weight.weight:g}"),
                    weight.cost_in_words(weight.worth),
                    weight.cost_in_words(weight.needs),
                    tr(weight.unit),
                    tr(weight.reason),
                )
            ),
        )
        for concern, weight in WEIGHTS.items()
    ]
    said = tr(
        "A photograph is classed by its gravest concern; within a class those with the most points "
        "stand on top. A concern has half of its points where it needs a look; these points put "
        "photographs in order and are not those of a stock. What cannot be "
        "worked on stands above all. A person decides; the order only says where to begin."
    )
    table = element(
        "table",
        element("thead", element("tr", *(element("th", text(h), scope="col") for h in heads))),
        element("tbody", *rows),
    )
    return element(
        "footer",
        element("h2", text(tr("How this is weighed"))),
        element("p", text(said)),
        element("div", table, class_="wide", tabindex="0", role="region",
                aria_label=tr("How this is weighed")),
        id="weights",
    )  # fmt: skip
