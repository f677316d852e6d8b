import base64
import socket
import threading

import numpy as np
import pytest
from art_files import noise, png

from laydown.artwork.reading import Limits, read_picture
from laydown.artwork.reading.limits import MEBI
from laydown.artwork.reading.svg_gate import DEEPEST
from laydown.errors import InvalidInput

NAMES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'


def svg(inside, *, size='width="20mm" height="10mm" viewBox="0 0 200 100"', before=""):
    return f"{before}<svg {NAMES} {size}>{inside}</svg>".encode()


def test_a_rectangle_lies_where_it_should_in_its_colour(read, written):
    picture = read(written(svg('<rect x="50" y="25" width="100" height="50" fill="#c83214" fill-opacity="0.5"/>')))

    assert (picture.columns, picture.rows) == (236, 118)
    assert (picture.width, picture.height) == pytest.approx((0.02, 0.01))
    red, green, blue, alpha = picture.pixels[59, 118]
    assert alpha == 128
    assert np.abs(np.array([red, green, blue], int) - (0xC8, 0x32, 0x14)).max() <= 1
    covered = picture.pixels[..., 3].sum() / 128 / (236 * 118)
    assert covered == pytest.approx(0.25, abs=0.001)
    assert picture.pixels[5, 5, 3] == 0


def test_it_is_drawn_for_the_size_asked_for(read, written):
    path = written(svg('<rect width="200" height="100"/>'))

    picture = read(path, width=0.1)

    assert (picture.columns, picture.rows) == (1181, 591)
    assert picture.height == pytest.approx(0.05)
    assert (picture.pixels[10:-10, 10:-10, 3] == 255).all()


def test_few_pixels_allowed_lower_the_resolution_and_say_so(written):
    picture = read_picture(written(svg('<rect width="200" height="100"/>')), width=1.0, limits=Limits(pixels=500_000))

    assert picture.rows * picture.columns <= 500_000
    assert picture.columns == pytest.approx(1000, abs=2)
    assert any("drawn at 25 pixels an inch instead of 300" in note for note in picture.notes)


@pytest.mark.parametrize(
    ("size", "width", "height"),
    [
        ('width="2cm" height="10mm"', 0.02, 0.01),
        ('width="1in" height="72pt"', 0.0254, 0.0254),
        ('width="6pc" height="101.6Q"', 0.0254, 0.0254),
        ('width="96px" height="192"', 0.0254, 0.0508),
        ('width="20mm" viewBox="0 0 4 1"', 0.02, 0.005),
        ('height="2e1mm" viewBox="0 0 4 1"', 0.08, 0.02),
        ('width="100%" height="20mm" viewBox="5 5 4 1"', 0.08, 0.02),
    ],
)
def test_sizes_in_every_unit(inspect, written, size, width, height):
    facts = inspect(written(svg("", size=size)))

    assert (facts.width, facts.height) == pytest.approx((width, height))


def test_a_size_in_pixels_is_taken_by_96_an_inch_and_mentioned(inspect, written):
    assert any(
        "96 of them were taken as an inch" in n for n in inspect(written(svg("", size='width="96" height="96"'))).notes
    )


@pytest.mark.parametrize("size", ['viewBox="0 0 4 1"', 'width="100%" height="100%" viewBox="0 0 4 1"'])
def test_a_shape_without_a_size_needs_the_order(read, written, size):
    path = written(svg('<rect width="4" height="1"/>', size=size))

    with pytest.raises(InvalidInput, match="does not say how large it is printed"):
        read(path)
    assert read(path, width=0.04).height == pytest.approx(0.01)


def test_a_drawing_without_any_shape_is_refused(read, written):
    with pytest.raises(InvalidInput, match="neither a width and height nor a viewBox"):
        read(written(svg("", size="")), width=0.1)


def test_without_a_viewbox_its_units_are_pixels_of_its_own_size(read, written):
    picture = read(written(svg('<rect width="48" height="96"/>', size='width="96" height="96"')), width=0.05)

    half = picture.columns // 2
    assert (picture.pixels[:, : half - 1, 3] == 255).all()
    assert (picture.pixels[:, half + 1 :, 3] == 0).all()


def test_a_picture_inside_is_drawn(read, written):
    inside = base64.b64encode(png(np.full((4, 4, 3), (10, 200, 30), np.uint8))).decode()

    picture = read(
        written(
            svg(f'<image width="200" height="100" preserveAspectRatio="none" href="data:image/png;base64,{inside}"/>')
        )
    )

    assert np.abs(picture.pixels[59, 118].astype(int) - (10, 200, 30, 255)).max() <= 1


def test_text_is_not_drawn_with_whatever_fonts_are_here_and_a_note_says_so(read, written):
    picture = read(written(svg('<text x="10" y="80" font-size="90">Regatta</text>')))

    assert not picture.pixels.any()
    assert any("convert it to outlines" in note for note in picture.notes)


def test_utf_16_is_text_too(read, written):
    data = svg('<rect width="200" height="100"/>', before='<?xml version="1.0" encoding="UTF-16"?>').decode()

    assert read(written(data.encode("utf-16"))).pixels[..., 3].all()


OUTSIDE = {
    "a file in image": '<image width="9" height="9" href="/etc/hostname"/>',
    "a file by xlink": '<image width="9" height="9" xlink:href="file:///etc/hostname"/>',
    "a relative file": '<image width="9" height="9" xlink:href="art.png"/>',
    "an address": '<image width="9" height="9" href="http://127.0.0.1:9/a.png"/>',
    "use of another file": '<use href="other.svg#a"/>',
    "a picture in use": '<use href="data:image/svg+xml;base64,AAAA"/>',
    "feImage": '<filter id="f"><feImage href="/etc/hostname"/></filter>',
    "a gradient": '<linearGradient id="g" xlink:href="other.svg#g"/>',
    "url in an attribute": '<rect width="9" height="9" fill="url(other.svg#g)"/>',
    "url in a style attribute": "<rect width='9' height='9' style='fill: URL( \"http://x/y#g\" )'/>",
    "url in a style": "<style>rect { filter: url(http://127.0.0.1/f) }</style>",
    "an escaped url": r"<style>rect { filter: \75 rl(http://127.0.0.1/f) }</style>",
    "an escaped url in an attribute": r'<rect style="fill:u\rl(x.svg#a)" width="9" height="9"/>',
    "an import": "<style>@import 'a.css';</style>",
    "an escaped import": r"<style>@\69mport 'a.css';</style>",
    "an import in CDATA": "<style><![CDATA[@import url(a.css);]]></style>",
    "an import in pieces": "<style>@imp<![CDATA[ort url(a.css);]]></style>",
    "a base": '<g xml:base="http://127.0.0.1/"><use href="#a"/></g>',
    "an SVG inside": '<image width="9" height="9" href="data:image/svg+xml;base64,PHN2Zy8+"/>',
    "an SVG that says PNG": '<image width="9" height="9" href="data:image/png;base64,PHN2Zy8+"/>',
    "text as data": '<image width="9" height="9" href="data:image/png,abc"/>',
}


@pytest.mark.parametrize("inside", OUTSIDE.values(), ids=OUTSIDE)
def test_nothing_outside_itself_may_be_named(read, written, inside):
    with pytest.raises(InvalidInput, match=r"^art\.svg: (the SVG|a picture inside the SVG)"):
        read(written(svg(inside), "art.svg"))


@pytest.mark.parametrize(
    "before",
    [
        '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">',
        '<!DOCTYPE svg [<!ENTITY a "b">]>',
        '<!DOCTYPE svg [<!ENTITY a SYSTEM "/etc/hostname">]>',
        '<?xml-stylesheet href="a.css"?>',
    ],
)
def test_declarations_and_style_sheets_are_refused(read, written, before):
    with pytest.raises(InvalidInput, match=r"DOCTYPE|style sheet outside itself"):
        read(written(svg("", before=before)))


def test_no_network_is_touched(written):
    """A server that would be asked, were anything ever fetched."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.3)
        asked = []

        def listen():
            try:
                server.accept()
            except TimeoutError:
                return
            asked.append(True)

        listener = threading.Thread(target=listen)
        listener.start()
        address = f"http://127.0.0.1:{server.getsockname()[1]}/a.png"
        with pytest.raises(InvalidInput):
            read_picture(written(svg(f'<image width="9" height="9" href="{address}"/>')))
        listener.join()

    assert asked == []


def test_a_click_leads_where_it_likes(read, written):
    picture = read(written(svg('<a href="http://127.0.0.1/"><rect width="200" height="100"/></a>')))

    assert picture.pixels[..., 3].all()


def test_what_drawing_programs_write_beside_the_drawing_passes(read, written):
    """Namespaces of their own, metadata with addresses, file names in attributes, styles."""
    data = (
        f'<?xml version="1.0"?><!-- made --><svg {NAMES} xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" '
        'xmlns:own="http://example.invalid/ns" width="20mm" height="10mm" viewBox="0 0 200 100" '
        'own:export-filename="C:\\art\\front.png"><metadata><rdf:RDF><rdf:Description rdf:about="" '
        'rdf:resource="http://example.invalid/still"/></rdf:RDF></metadata><own:view zoom="2"/>'
        "<style>.a { fill: #102030; font-family: 'Any, Sans' }</style>"
        '<g own:label="Layer 1" style="display:inline"><rect class="a" width="200" height="100"/></g></svg>'
    )

    picture = read(written(data.encode()))

    assert tuple(picture.pixels[50, 50]) == (0x10, 0x20, 0x30, 255)


def test_a_short_file_that_asks_for_very_many_pixels_is_drawn_within_the_limit(written):
    path = written(svg("", size='width="40000" height="40000"'))

    with pytest.raises(
        InvalidInput, match=r"it says that it is 10583.3 x 10583.3 mm large; allowed is 5 to 2000 mm a side"
    ):
        read_picture(path)
    assert read_picture(path, width=0.01).rows <= 119


def test_elements_too_deep_inside_each_other_are_refused(read, written):
    deep = "<g>" * DEEPEST + "</g>" * DEEPEST

    with pytest.raises(InvalidInput, match=f"more than {DEEPEST} elements inside each other"):
        read(written(svg(deep)))


def test_a_large_picture_in_a_small_drawing_is_counted(written):
    inside = base64.b64encode(png(np.zeros((600, 600, 3), np.uint8))).decode()
    drawing = svg(f'<image width="9" height="9" href="data:image/png;base64,{inside}"/>')

    with pytest.raises(InvalidInput, match=r"pictures inside the SVG have more than the allowed 0.3 million pixels"):
        read_picture(written(drawing), limits=Limits(pixels=300_000))


def test_uses_that_multiply_end_within_the_limits(written):
    """Ten levels of ten copies: ten thousand million rectangles."""
    levels = '<rect id="a0" width="1" height="1"/>' + "".join(
        f'<g id="a{k + 1}">' + f'<use href="#a{k}"/>' * 10 + "</g>" for k in range(10)
    )

    with pytest.raises(InvalidInput, match="it is not an SVG that can be read"):
        read_picture(written(svg(levels)), limits=Limits(cpu=5, wall=15, memory_bytes=512 * MEBI))


def test_no_xml_and_another_root_are_refused(read, written):
    with pytest.raises(InvalidInput, match="no well-formed XML"):
        read(written(svg("<rect>")))
    with pytest.raises(InvalidInput, match="its outermost element is 'a'"):
        read(written(b"<a><svg/></a>"))


def test_a_random_drawing_agrees_with_its_own_area(read, written):
    side = noise(1, 12, 1).astype(int).ravel() % 40 + 20
    boxes = "".join(f'<rect x="{k * 100}" y="5" width="{w}" height="{w}"/>' for k, w in enumerate(side))

    picture = read(written(svg(boxes, size='width="120mm" height="10mm" viewBox="0 0 1200 100"')))

    area = picture.pixels[..., 3].sum() / 255 * (picture.pixel * 1e3) ** 2
    assert area == pytest.approx((side**2).sum() / 100, rel=0.003)
