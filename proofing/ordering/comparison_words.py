"""A comparison of stocks in plain sentences, each with its number and unit."""

from __future__ import annotations

from collections.abc import Iterable

from proofing.findings.kinds import Kind
from proofing.findings.words import share_in_words
from proofing.language import listed, mark, numeral, tr
from proofing.ordering.character import TRAIT_WORDS, Character, Trait
from proofing.ordering.comparison import Comparison, StockResult
from proofing.ordering.ranking import SUITS, WEIGHTS, Criterion, Standing, gains
from proofing.printing import Stock

TITLES = {
    Criterion.DETAIL: mark("detail lost"),
    Criterion.WEAKENED: mark("detail weakened"),
    Criterion.COLOUR: mark("colour, mean"),
    Criterion.WORST_COLOUR: mark("colour, worst twentieth"),
    Criterion.CONTRAST: mark("contrast"),
    Criterion.GLARE: mark("glare"),
    Criterion.SURFACE: mark("surface"),
}
"""What the criteria are called."""
_INSTEAD = {
    Criterion.DETAIL: mark("detail is lost in {one} of the picture instead of {other}"),
    Criterion.WEAKENED: mark("detail is weakened in {one} of the picture instead of {other}"),
    Criterion.COLOUR: mark("colours print {one} off on average instead of {other}"),
    Criterion.WORST_COLOUR: mark("the worst twentieth prints over {one} off instead of {other}"),
    Criterion.CONTRAST: mark("the picture has a contrast of {one} instead of {other}"),
    Criterion.GLARE: mark("reflections lay {one} of bare paper over it instead of {other}"),
    Criterion.SURFACE: mark("its surface suits the picture to {one} instead of {other}"),
}
_SURFACES = {
    "matte": mark("matte"),
    "textured matte": mark("textured matte"),
    "canvas": mark("woven, matte"),
    "semi-gloss": mark("semi-gloss"),
    "gloss": mark("glossy"),
}
_STANDINGS = {
    Standing.TIED: mark("tied"),
    Standing.CLOSE: mark("close call"),
    Standing.BEHIND: mark("behind"),
}
_MIRRORS = 0.02  # reflectance of a pane from which lamps show in it; anti-reflection glass has less
_LEAST = 0.25  # points from which a difference is named
_NAMED = 0.05  # share of the picture from which a trait is named


def surface_in_words(stock: Stock) -> str:
    """What kind of surface a stock has."""
    return tr(_SURFACES[stock.surface.kind])


def standing_in_words(result: StockResult) -> str:
    """How a stock stands to the one above it in the order."""
    if result.standing is None:
        return tr("first")
    return tr(_STANDINGS[result.standing])


def gives_and_takes(
    result: StockResult, comparison: Comparison
) -> tuple[list[Criterion], list[Criterion], list[Criterion]]:
    """Criteria in which a stock is better than the stocks here are on average, those in which it is
    worse, and those in which it is much as they are; what counts most first."""
    count = len(comparison.ranked)
    mean = {c: sum(each.marks[c] for each in comparison.ranked) / count for c in Criterion}
    gives, takes = gains(result.marks, mean, _LEAST), gains(mean, result.marks, _LEAST)
    return list(gives), list(takes), [c for c in Criterion if c not in (*gives, *takes)]


def conclusion(comparison: Comparison) -> list[str]:
    """Which comes first, how sure that is, and what the runner-up gives and takes; and the best of
    the other surfaces, matte or glossy, where the runner-up is of the same."""
    if not comparison.ranked:
        return [tr("None of the stocks can be compared.")]
    first, *others = comparison.ranked
    if not others:
        return [
            tr("{stock} is the only one here, with {points:.0f} of 100 points.",
               stock=tr(first.stock.name), points=first.score),
        ]  # fmt: skip
    second = others[0]
    values = {
        "first": tr(first.stock.name),
        "second": tr(second.stock.name),
        "points": first.score,
        "points_2": second.score,
    }
    if second.standing is Standing.TIED:
        said = tr(
            "{first} and {second} are as good as equal, with {points:.1f} and {points_2:.1f} of "
            "100 points: choose between them by what each gives and takes.",
            **values,
        )
    elif second.standing is Standing.CLOSE:
        said = tr(
            "{first} comes first with {points:.0f} of 100 points, {second} close behind with "
            "{points_2:.0f}: the order would turn if the weights were a fifth otherwise.",
            **values,
        )
    else:
        said = tr(
            "{first} comes first with {points:.0f} of 100 points, {second} second with "
            "{points_2:.0f}.",
            **values,
        )
    told = [said[0].upper() + said[1:], trade_off(first, second)]
    glossy = _is_glossy(first.stock)
    other = next((each for each in others if _is_glossy(each.stock) != glossy), None)
    if other is not None and other is not second:
        told.append(trade_off(first, other))
    if glossy or comparison.request.room.glazing.reflectance > _MIRRORS:
        told.append(
            tr(
                "Hang it so that no lamp or window is mirrored in it: in gloss and in glass they "
                "outshine the picture (common practice)."
            )
        )
    told.append(tr("There is no perfect stock: the table shows what each gives and takes."))
    return told


def _is_glossy(stock: Stock) -> bool:
    return stock.surface.kind in ("gloss", "semi-gloss")


def trade_off(first: StockResult, second: StockResult) -> str:
    """What choosing the second in the place of the first gives, and what it takes."""
    better = _instead(gains(second.marks, first.marks, _LEAST), second, first)
    worse = _instead(gains(first.marks, second.marks, _LEAST), second, first)
    name = tr(second.stock.name)
    if better and worse:
        return tr(
            "With {stock} in its place {better}; but {worse}.",
            stock=name, better=listed(better), worse=listed(worse),
        )  # fmt: skip
    if worse:
        return tr(
            "With {stock} in its place nothing gets better that would count, and {worse}.",
            stock=name, worse=listed(worse),
        )  # fmt: skip
    if better:
        return tr("With {stock} in its place {better}.", stock=name, better=listed(better))
    return tr("With {stock} in its place nothing changes that would count.", stock=name)


def _instead(criteria: Iterable[Criterion], one: StockResult, other: StockResult) -> list[str]:
    """The two that count most; what reads the same for both is left out."""
    told = [(c, value_in_words(c, one), value_in_words(c, other)) for c in criteria]
    return [tr(_INSTEAD[c], one=a, other=b) for c, a, b in told if a != b][:2]


def value_in_words(criterion: Criterion, result: StockResult) -> str:
    """A criterion's number with its unit, as short as a table wants it."""
    if criterion is Criterion.CONTRAST:
        return ratio_in_words(result.contrast.picture)
    if criterion is Criterion.SURFACE:
        return numeral(f"{100 * result.suits:.0f} %")
    cost = result.costs[criterion]
    if criterion in (Criterion.COLOUR, Criterion.WORST_COLOUR):
        return tr("{off:.1f} ΔE00", off=cost)
    return veil_in_words(cost) if criterion is Criterion.GLARE else share_in_words(cost)


def ratio_in_words(ratio: float) -> str:
    """A contrast.

    >>> ratio_in_words(1.84), ratio_in_words(131.2)
    ('1.8 to 1', '131 to 1')
    """
    if ratio < 9.95:
        return tr("{ratio:.1f} to 1", ratio=ratio)
    return tr("{ratio:.0f} to 1", ratio=ratio)


def veil_in_words(of_paper: float) -> str:
    """A veil's share of bare paper; a thousandth is still seen beside a gloss black.

    >>> [veil_in_words(x) for x in (0.0, 0.00086, 0.0091, 0.12)]
    ['0 %', '0.086 %', '0.91 %', '12 %']
    """
    return numeral(f"{100 * of_paper:.2g} %")


def halved_in_words(criterion: Criterion) -> str:
    """The cost at which half of a criterion's points are left."""
    weight = WEIGHTS[criterion]
    if criterion in (Criterion.DETAIL, Criterion.WEAKENED):
        return tr("{percent:.0f} % of the picture", percent=100 * weight.halved)
    if criterion is Criterion.GLARE:
        return tr("{percent:.0f} % of bare paper", percent=100 * weight.halved)
    if criterion is Criterion.CONTRAST:
        return tr("1 stop") if weight.halved == 1.0 else tr("{n:g} stops", n=weight.halved)
    if criterion is Criterion.SURFACE:
        return tr("half suited")
    return tr("{off:g} ΔE00", off=weight.halved)


def character_in_words(character: Character) -> str:
    """What kind of picture it is."""
    traits = sorted(Trait, key=lambda trait: -character.share(trait))
    named = [
        tr("{trait} ({share} of it)", trait=tr(TRAIT_WORDS[t]),
           share=share_in_words(character.share(t)))
        for t in traits
        if character.share(t) >= _NAMED
    ]  # fmt: skip
    if not named:
        return tr("This picture is rich in nothing that would decide for a surface.")
    return tr("What this picture is rich in: {named}.", named=listed(named))


def sentences_of(result: StockResult, comparison: Comparison) -> dict[Criterion, str]:
    """One plain sentence for each criterion."""
    return {
        Criterion.DETAIL: _detail(result),
        Criterion.WEAKENED: _weakened(result),
        Criterion.COLOUR: tr(
            "Colours print {mean:.1f} ΔE00 off what is wanted on average, and {out} of the picture "
            "is out of gamut.",
            mean=result.delta_E_mean,
            out=share_in_words(result.shares[Kind.OUT_OF_GAMUT]),
        ),
        Criterion.WORST_COLOUR: tr(
            "The worst twentieth of the picture prints {worst:.1f} ΔE00 off or more.",
            worst=result.delta_E_95,
        ),
        Criterion.CONTRAST: _contrast(result),
        Criterion.GLARE: _glare(result, comparison.request.room.reflection_ratio),
        Criterion.SURFACE: _surface(result, comparison.character),
    }


def _detail(result: StockResult) -> str:
    if result.detail_lost <= 0.0:
        return tr("No detail that shows in the file is lost: 0 % of the picture.")
    return tr(
        "Detail is lost in {lost} of the picture (shadows blocked: {blocked}; highlights blown: "
        "{blown}; strong colours flattened: {flattened}).",
        lost=share_in_words(result.detail_lost),
        blocked=share_in_words(result.shares[Kind.BLOCKED_SHADOWS]),
        blown=share_in_words(result.shares[Kind.BLOWN_HIGHLIGHTS]),
        flattened=share_in_words(result.shares[Kind.FLATTENED_COLOUR]),
    )


def _weakened(result: StockResult) -> str:
    if result.weakened <= 0.0:
        return tr("Nowhere is detail weakened to less than a quarter: 0 % of the picture.")
    return tr(
        "In {weakened} of the picture detail stays, at less than a quarter of its strength.",
        weakened=share_in_words(result.weakened),
    )


def _contrast(result: StockResult) -> str:
    contrast = result.contrast
    values = {
        "in_room": ratio_in_words(contrast.in_room),
        "own": ratio_in_words(contrast.own),
        "picture": ratio_in_words(contrast.picture),
        "file": ratio_in_words(contrast.file),
    }
    if contrast.own < 1.02 * contrast.in_room:
        return tr(
            "Paper to black is {in_room}, all that the stock has; the picture's own contrast of "
            "{file} prints as {picture}.",
            **values,
        )
    return tr(
        "Paper to black is {in_room} in this room, of the stock's {own} without reflections; the "
        "picture's own contrast of {file} prints as {picture}.",
        **values,
    )


def _glare(result: StockResult, set_ratio: float) -> str:
    glare = result.glare
    if glare.veil_cd_m2 <= 0.0:
        return tr("Nothing in this room is bright enough to be mirrored: a veil of 0 cd/m².")
    values = {
        "veil": veil_in_words(glare.of_paper),
        "cd_m2": glare.veil_cd_m2,
        "bright": 100 * glare.mirrored_ratio,
    }
    if glare.mirrored_ratio > set_ratio:
        said = tr(
            "Seen from the side it mirrors a room {bright:.0f} % as bright as a white in its "
            "place: a veil of {cd_m2:.2g} cd/m², {veil} of bare paper.",
            **values,
        )
    else:
        said = tr(
            "It mirrors a room {bright:.0f} % as bright as a white in its place: a veil of "
            "{cd_m2:.2g} cd/m², {veil} of bare paper.",
            **values,
        )
    if glare.from_pane > 0.5:
        said += tr(" Of that, {pane:.0f} % is the glazing's.", pane=100 * glare.from_pane)
    return said


def _surface(result: StockResult, character: Character) -> str:
    kind = result.stock.surface.kind
    values = {"surface": tr(_SURFACES[kind]), "suits": 100 * result.suits}
    rich = max(Trait, key=character.share)
    if character.share(rich) < _NAMED:
        return tr(
            "Its {surface} surface goes with this picture as with any: {suits:.0f} % (common "
            "practice).",
            **values,
        )
    values["trait"] = tr(TRAIT_WORDS[rich])
    values["share"] = share_in_words(character.share(rich))
    suits = SUITS[kind][rich]
    if suits >= 0.75:
        return tr(
            "Its {surface} surface suits the picture to {suits:.0f} %, and {trait} ({share} of it) "
            "well (common practice).",
            **values,
        )
    return tr(
        "Its {surface} surface suits the picture to {suits:.0f} %, and {trait} ({share} of it) "
        "less than others (common practice).",
        **values,
    )


def basis_of(stock: Stock) -> str:
    """What stands behind a stock's numbers."""
    if stock.typical:
        return tr("typical of its class; no product was measured")
    if stock.kind == "profiled":
        return tr("the lab's profile tells its colours; its surface is typical")
    return tr("as described: {provenance}", provenance=tr(stock.provenance))


def sample_in_words(comparison: Comparison) -> str:
    """What of the picture was looked at."""
    distance = comparison.request.distance_m
    if comparison.sample_share == 1.0:
        return tr(
            "Detail was looked for all over the picture, as finely as an eye resolves it at "
            "{distance:.2g} m.",
            distance=distance,
        )
    return tr(
        "Detail was looked for in blocks spread evenly over the picture, {share} of it, as finely "
        "as an eye resolves it at {distance:.2g} m; colours at single pixels all over it.",
        share=share_in_words(comparison.sample_share),
        distance=distance,
    )
