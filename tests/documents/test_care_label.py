import unicodedata
from itertools import pairwise

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from laydown.data.label_words import CODE, LANGUAGES, all_fibre_names, phrase
from laydown.documents.care_label import LONGEST, parse_care_label
from laydown.domain.fibre import FIBRES, FibreContent
from laydown.errors import InvalidInput


def percent(text):
    return {name: pytest.approx(100 * share) for name, share in parse_care_label(text).shares}


@pytest.mark.parametrize(
    ("label", "content"),
    [
        ("50% cotton 50% polyester", {"cotton": 50, "polyester": 50}),
        ("52/48 cotton/poly", {"cotton": 52, "polyester": 48}),
        ("tri-blend 50 poly 25 cotton 25 rayon", {"polyester": 50, "cotton": 25, "viscose": 25}),
        ("92% nylon 8% elastane", {"nylon": 92, "elastane": 8}),
        ("spandex", {"elastane": 100}),
        ("viscose", {"viscose": 100}),
        ("rayon", {"viscose": 100}),
        ("cotton", {"cotton": 100}),
        ("100% combed ring-spun cotton", {"cotton": 100}),
        ("60% Baumwolle, 40% Polyester", {"cotton": 60, "polyester": 40}),
        ("coton 62,5 % polyamide 37,5 %", {"cotton": 62.5, "nylon": 37.5}),
        ("ALGODÓN 95%, ELASTANO 5%", {"cotton": 95, "elastane": 5}),
        ("algodon 95 elastano 5", {"cotton": 95, "elastane": 5}),
        ("80% poliammide 20% elastan", {"nylon": 80, "elastane": 20}),
        ("lana 70 % seta 30 %", {"wool": 70, "silk": 30}),
        ("Leinen 55% Hanf 45%", {"flax": 55, "hemp": 45}),
        ("cotton 60 polyester 40", {"cotton": 60, "polyester": 40}),
        ("cotton: 60%, polyester: 40%", {"cotton": 60, "polyester": 40}),
        ("cotton = 60; polyester = 40", {"cotton": 60, "polyester": 40}),
        ("cotton/poly 52/48", {"cotton": 52, "polyester": 48}),
        ("cotton 52/poly 48", {"cotton": 52, "polyester": 48}),
        ("52/48% cotton/poly", {"cotton": 52, "polyester": 48}),
        ("%52/48 cotton/poly", {"cotton": 52, "polyester": 48}),
        ("60:40 cotton:polyester", {"cotton": 60, "polyester": 40}),
        ("65/35 poly-cotton", {"polyester": 65, "cotton": 35}),
        ("50,25,25 poly,cotton,rayon", {"polyester": 50, "cotton": 25, "viscose": 25}),
        ("60C/40P", {"cotton": 60, "polyester": 40}),
        ("CO 60 PES 40", {"cotton": 60, "polyester": 40}),
        ("52% CO, 48% polyester", {"cotton": 52, "polyester": 48}),
        ("92% PA 8% EL", {"nylon": 92, "elastane": 8}),
        ("%50 cotton %50 polyester", {"cotton": 50, "polyester": 50}),
        ("100%cotton", {"cotton": 100}),
        ("100 percent cotton", {"cotton": 100}),
        ("100 Prozent Baumwolle", {"cotton": 100}),
        ("100 pour cent coton", {"cotton": 100}),
        ("100 por ciento algodón", {"cotton": 100}),
        ("100 per cento cotone", {"cotton": 100}),
        ("33.3/33.3/33.3 cotton/poly/viscose", {"cotton": 33.3, "polyester": 33.3, "viscose": 33.3}),
        ("99.5% cotton 0.5% elastane", {"cotton": 99.5, "elastane": 0.5}),
        ("50% cotton 30% recycled polyester 20% polyester", {"cotton": 50, "polyester": 50}),
        ("95% bamboo viscose 5% spandex", {"viscose": 95, "elastane": 5}),
        ("70% viscose (rayon) 30% merino wool", {"viscose": 70, "wool": 30}),
        ("ca. 60% Baumwolle, 40% Polyester", {"cotton": 60, "polyester": 40}),
        ("95% cotton 5% other fibres", {"cotton": 95, "other fibres": 5}),
        ("98% cotton, 2% fibre métallique", {"cotton": 98, "metal fibre": 2}),
        ("80% nylon 66 20% elastane", {"nylon": 80, "elastane": 20}),
        ("5.3 oz, 180 g/m2, 100% cotton, 30/1 ring spun, wash at 40°C", {"cotton": 100}),
        ("Cotton tee, 100% cotton", {"cotton": 100}),
        ("<ul><li>60&nbsp;% Cotton</li><li>40&#37; Polyester</li></ul>", {"cotton": 60, "polyester": 40}),
        ("\u200b60 %\u2009cotton\n\t40\u00a0% poly\u00adester", {"cotton": 60, "polyester": 40}),
        ("６０％ cotton 40％ polyester", {"cotton": 60, "polyester": 40}),
        ("100% cotton/Baumwolle/coton/algodón/cotone", {"cotton": 100}),
        ("50% cotton/coton 50% polyester/poliéster", {"cotton": 50, "polyester": 50}),
        ("50% cotton 50% polyester / 50% coton 50% polyester", {"cotton": 50, "polyester": 50}),
        ("50 % cotton, 50 % polyester", {"cotton": 50, "polyester": 50}),
    ],
)
def test_labels_as_people_write_them_are_read(label, content):
    assert percent(label) == content


@pytest.mark.parametrize(
    ("label", "content"),
    [
        ("body: 100% cotton, rib: 95% cotton 5% elastane", {"cotton": 100}),
        ("RIB: 95% COTTON 5% ELASTANE; BODY: 100% COTTON", {"cotton": 100}),
        ("100% cotton; rib: 95% cotton 5% elastane", {"cotton": 100}),
        ("shell: 100% nylon lining: 100% polyester", {"nylon": 100}),
        ("Oberstoff: 80% Baumwolle 20% Polyester Futter: 100% Polyester", {"cotton": 80, "polyester": 20}),
        ("tissu principal: 100% coton; doublure: 100% polyester", {"cotton": 100}),
        ("cuerpo: 100% algodón puños: 95% algodón 5% elastano", {"cotton": 100}),
        ("fodera: 100% poliestere; tessuto esterno: 100% cotone", {"cotton": 100}),
        ("body and sleeves: 100% cotton; hood lining: 100% polyester", {"cotton": 100}),
        ("body lining: 100% polyester; body: 100% cotton", {"cotton": 100}),
        ("Rumpf/Body: 100% Baumwolle / cotton", {"cotton": 100}),
        ("Composition: 60% cotton 40% polyester", {"cotton": 60, "polyester": 40}),
        ("EN: 50% cotton 50% polyester DE: 50% Baumwolle 50% Polyester", {"cotton": 50, "polyester": 50}),
        ("body: 100% cotton main: 100% coton", {"cotton": 100}),
        ("style Regatta: 100% cotton", {"cotton": 100}),
        ("care: wash at 30. material: 100% cotton", {"cotton": 100}),
    ],
)
def test_of_several_parts_the_body_is_taken(label, content):
    assert percent(label) == content


@pytest.mark.parametrize(
    ("label", "sentence"),
    [
        ("", "no fibre is named; write the fibres and their shares"),
        (" \n ", "no fibre is named"),
        ("100%", "no fibre is named beside the shares"),
        ("60% cotton 30% polyester", "the shares add up to 90 %; they must add up to 100 % within 0.5 %"),
        ("60% cotton 50% polyester", "add up to 110 %"),
        ("150% cotton 50% polyester", "add up to 200 %"),
        ("cotton 60", "add up to 60 %"),
        ("50 cotton", "add up to 50 %"),
        ("60C/50P", "add up to 110 %"),
        ("cotton/polyester", "the shares of cotton and polyester are missing"),
        ("50% kotton 50% polyester", "'kotton' is no fibre that is known; nearest are 'cotton'"),
        ("50% soft polyster 50% cotton", "'polyster' is no fibre that is known; nearest are 'polyester'"),
        ("polyster 100%", "'polyster' is no fibre that is known; nearest are 'polyester'"),
        ("floofium 50% cotton 50%", "'floofium' is no fibre that is known; known are cotton, polyester"),
        ("cotton candy", "'candy' is no fibre that is known"),
        ("95% bamboo 5% spandex", "'bamboo' is no fibre that is known"),
        ("-5% cotton 105% polyester", "a share is -5 %; it must be above 0 %"),
        ("\u22125% cotton 105% polyester", "a share is .5 %; it must be above 0 %"),
        ("0% elastane 100% cotton", "a share is 0 %; it must be above 0 %"),
        ("1" + "0" * 400 + "% cotton", "it must be above 0 %"),
        ("nan% cotton", "a % sign stands without a number"),
        ("∞% cotton", "a % sign stands without a number"),
        ("cotton %", "a % sign stands without a number"),
        ("nan", "'nan' is no fibre that is known"),
        ("cotton nan", "'nan' is no fibre that is known"),
        ("no cotton", "'no' turns the label's sense round"),
        ("100% cotton without elastane", "'without' turns the label's sense round"),
        ("100% cotton 100% polyester", "several compositions; name the printed part, 'body: 100% cotton'"),
        ("100% cotton (contrast 50% cotton 50% polyester)", "several compositions; name the printed part"),
        ("front: 100% cotton back: 100% polyester", "it names only front, back; name the printed part"),
        ("body: 100% cotton main: 100% polyester", "body, main differ; keep only the printed part"),
        ("left: 100% cotton right: 100% polyester", "left, right differ"),
        ("100% cotton material: 100% polyester", "the part without a name, material differ"),
        ("body: 60% cotton 30% polyester", "add up to 90 %"),
        ("polyester 80% cotton 20% polyester", "not clear which share belongs to which fibre"),
        ("30/1 cotton", "2 shares and the fibres named do not pair up"),
        ("50% cotton polyester 50% wool", "2 shares and the fibres named do not pair up"),
        ("1000 x " * 200, f"has 1400 characters; allowed are up to {LONGEST}"),
    ],
)
def test_a_label_that_cannot_be_read_says_why_and_what_to_write(label, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        parse_care_label(label)


def test_an_error_names_the_place_and_quotes_no_more_than_a_line():
    with pytest.raises(InvalidInput) as caught:
        parse_care_label("60% cotton " * 50, where="order.toml, care_label")

    assert caught.value.where == "order.toml, care_label"
    assert len(str(caught.value)) < 250


def test_no_trade_mark_is_known():
    with pytest.raises(InvalidInput, match="is no fibre that is known"):
        parse_care_label("95% cotton 5% Stretchomatic")


NAMES = [(name.words, name.language, name.fibre) for name in all_fibre_names()]
BY_LANGUAGE = {language: [(n, f) for n, lang, f in NAMES if lang == language] for language in LANGUAGES}


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_has_a_name_for_every_fibre(language):
    assert {fibre for _, fibre in BY_LANGUAGE[language]} == set(FIBRES)


@pytest.mark.parametrize(("name", "language", "fibre"), NAMES)
def test_every_name_and_code_alone_means_its_fibre(name, language, fibre):
    written = " ".join(name).upper() if language == CODE else " ".join(name)

    assert percent(f"100% {written}") == {fibre: 100}


@st.composite
def compositions(draw):
    """Shares in tenths of a per cent that add up to 100 %, each fibre with a name from one language."""
    names = BY_LANGUAGE[draw(st.sampled_from(LANGUAGES))]
    chosen = draw(st.lists(st.sampled_from(names), min_size=1, max_size=5, unique_by=lambda pair: pair[1]))
    step = draw(st.sampled_from([1, 10]))
    cuts = draw(
        st.lists(st.integers(1, 1000 // step - 1), min_size=len(chosen) - 1, max_size=len(chosen) - 1, unique=True)
    )
    edges = [0, *sorted(cut * step for cut in cuts), 1000]
    tenths = [b - a for a, b in pairwise(edges)]
    return [(" ".join(name), fibre, share) for (name, fibre), share in zip(chosen, tenths, strict=True)]


def number(tenths, *, comma):
    text = f"{tenths // 10}.{tenths % 10}" if tenths % 10 else str(tenths // 10)
    return text.replace(".", ",") if comma else text


LAYOUTS = {
    "number first": lambda pairs: ", ".join(f"{share}% {name}" for name, share in pairs),
    "number first, spaced": lambda pairs: " ".join(f"{share} % {name}" for name, share in pairs),
    "number first, glued": lambda pairs: "".join(f"{share}%{name} " for name, share in pairs),
    "fibre first": lambda pairs: " ".join(f"{name} {share}%" for name, share in pairs),
    "fibre first, colons": lambda pairs: "; ".join(f"{name}: {share} %" for name, share in pairs),
    "sign first": lambda pairs: " ".join(f"%{share} {name}" for name, share in pairs),
    "list": lambda pairs: "/".join(s for _, s in pairs) + "% " + "/".join(n for n, _ in pairs),
    "list, fibres first": lambda pairs: "/".join(n for n, _ in pairs) + " " + "/".join(s for _, s in pairs) + " %",
    "lines": lambda pairs: "".join(f"<p>{share}&nbsp;% {name}</p>\n" for name, share in pairs),
    "in a body": lambda pairs: "body: " + ", ".join(f"{s}% {n}" for n, s in pairs) + "; rib: 100% wool",
}


@given(compositions(), st.sampled_from(sorted(LAYOUTS)), st.booleans(), st.sampled_from(["lower", "upper", "title"]))
def test_every_composition_comes_back_from_every_language_and_layout(composition, layout, comma, case):
    pairs = [(getattr(name, case)(), number(share, comma=comma)) for name, _, share in composition]
    content = parse_care_label(LAYOUTS[layout](pairs))

    assert content.names == tuple(fibre for _, fibre, _ in composition)
    assert [share for _, share in content.shares] == pytest.approx([share / 1000 for *_, share in composition])


@given(compositions(), st.sampled_from([-300, -100, -20, -6, 6, 20, 300]))
def test_shares_that_do_not_add_up_are_refused_and_the_sum_is_named(composition, error):
    (name, fibre, share), *rest = composition
    assume(share + error > 0)
    label = ", ".join(f"{s / 10:g}% {n}" for n, _, s in [(name, fibre, share + error), *rest])

    with pytest.raises(InvalidInput, match=rf"add up to {100 + error / 10:g} %"):
        parse_care_label(label)


@given(compositions())
def test_a_content_written_by_laydown_is_read_back_equal(composition):
    content = FibreContent(shares=tuple((fibre, share / 1000) for _, fibre, share in composition))

    again = parse_care_label(str(content))
    assert again.names == content.names
    assert [s for _, s in again.shares] == pytest.approx([s for _, s in content.shares])


PIECES = st.sampled_from(
    [
        "50",
        "%",
        "100%",
        "cotton",
        "Poly",
        "/",
        ",",
        ":",
        "-",
        "-5",
        "body",
        "rib:",
        "nan",
        "0",
        "&#0;",
        "<b",
        "é",
        "C",
        "1e9",
    ]
)


@given(st.text(max_size=80) | st.lists(PIECES, max_size=14).map(" ".join) | st.lists(PIECES, max_size=14).map("".join))
@example("\x00")
@example("\ud800")
@example("100% cotton\u0301")
def test_any_text_is_a_fibre_content_or_one_clear_sentence(text):
    try:
        content = parse_care_label(text, where="here")
    except InvalidInput as error:
        sentence = str(error)
    else:
        sentence = f"here: {content}"

    assert sentence.startswith("here: ")


def test_accents_may_be_missing_in_every_name():
    for name, _, _ in NAMES:
        for word in name:
            assert word == "".join(c for c in unicodedata.normalize("NFKD", word) if not unicodedata.combining(c))
    assert phrase("Élasthanne") == ("elasthanne",)
