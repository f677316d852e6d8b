"""Small sound files of each kind, with everything in them that a reader has to take apart."""

from __future__ import annotations

import base64
import struct
from io import BytesIO

from art_files import chunk, noise, pdf, phys, png, resolution, stream, tiff
from profiles_made import matrix_profile


def png_seeds() -> list[bytes]:
    import zlib

    icc = chunk(b"iCCP", b"made\0\0" + zlib.compress(matrix_profile()))
    return [
        png(noise(24, 32, 4), chunks=phys(4000)),
        png(noise(24, 32, 3, high=65536), bits=16, chunks=phys(4000) + icc),
        png(noise(24, 32, 1, high=4), bits=2, palette=noise(4, 3, 1), chunks=phys(4000) + chunk(b"tRNS", b"\1\2\3\4")),
        png(
            noise(24, 32, 1, high=65536),
            bits=16,
            chunks=chunk(b"tRNS", struct.pack(">H", 77)) + chunk(b"tEXt", b"a\0b"),
        ),
    ]


def tiff_seeds() -> list[bytes]:
    inch = resolution(100, 2)
    icc = {34675: (7, tuple(matrix_profile()))}
    return [
        tiff(noise(24, 32, 4), photometric=2, extra=(2,), tags=inch, deflate=True),
        tiff(noise(24, 32, 4, high=65536), photometric=2, bits=16, extra=(1,), order=">", tags={**inch, **icc}),
        tiff(noise(24, 32, 4), photometric=5, tags=inch),
        tiff(noise(24, 32, 1, high=2), photometric=0, bits=1, tags=inch, pages=2),
    ]


def jpeg_seeds() -> list[bytes]:
    from PIL import Image

    exif = Image.Exif()
    exif[274], exif[282], exif[283], exif[296] = 6, 100.0, 100.0, 2
    seeds = []
    for mode, options in (
        ("RGB", {"dpi": (100, 100), "icc_profile": matrix_profile()}),
        ("L", {"exif": exif}),
        ("CMYK", {}),
        ("RGB", {"progressive": True, "dpi": (100, 100)}),
    ):
        channels = {"RGB": 3, "L": 1, "CMYK": 4}[mode]
        out = BytesIO()
        Image.fromarray(noise(24, 32, channels), mode).save(out, "JPEG", quality=80, **options)
        seeds.append(out.getvalue())
    return seeds


def svg_seeds() -> list[bytes]:
    inside = base64.b64encode(png(noise(8, 8, 3))).decode()
    head = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    return [
        (
            f'{head}width="10mm" height="8mm" viewBox="0 0 100 80"><defs><linearGradient id="g"><stop offset="0" '
            'stop-color="red"/><stop offset="1" stop-color="#00f"/></linearGradient><filter id="b"><feGaussianBlur '
            'stdDeviation="2"/></filter></defs><style>.a{fill:url(#g);stroke:#123}</style><path class="a" '
            'd="M10 10 C 20 20 40 20 50 10 L 90 70 Z"/><use xlink:href="#u"/><circle id="u" cx="30" cy="50" r="12" '
            'filter="url(#b)"/></svg>'
        ).encode(),
        (
            f'{head}width="1in" height="1in" viewBox="0 0 10 10">'
            '<clipPath id="c"><rect width="5" height="9"/></clipPath>'
            f'<image width="8" height="8" clip-path="url(#c)" xlink:href="data:image/png;base64,{inside}"/>'
            '<mask id="m"><rect width="9" height="9" fill="white"/></mask><g mask="url(#m)" opacity="0.4" '
            'transform="rotate(30 5 5) scale(1.5)"><ellipse cx="4" cy="4" rx="3" ry="2"/></g></svg>'
        ).encode(),
    ]


SPOT_SPACE = (
    "/Separation /Flame#20Red /DeviceCMYK << /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [0 0.9 0.8 0] /N 1 >>"
)


def pdf_seeds() -> list[bytes]:
    pixels = noise(8, 8, 3)
    image = stream(
        pixels.tobytes(),
        "/Type /XObject /Subtype /Image /Width 8 /Height 8 /BitsPerComponent 8 /ColorSpace /DeviceRGB",
    )
    form = stream(
        b"/S cs 0.5 scn 0 0 20 20 re f 0 0 1 rg 5 5 30 8 re f",
        f"/Type /XObject /Subtype /Form /BBox [0 0 40 40] /Resources << /ColorSpace << /S [{SPOT_SPACE}] >> >>",
    )
    shading = (
        b"<< /ShadingType 2 /ColorSpace /DeviceRGB /Coords [0 0 72 0] /Function << /FunctionType 2 /Domain [0 1] "
        b"/C0 [1 0 0] /C1 [0 1 0] /N 1 >> >>"
    )
    return [
        pdf(
            b"q 20 0 0 20 5 5 cm /I Do Q /F Do q 30 0 40 36 re W n /H sh Q 0 0 0 1 k 1 1 5 5 re f "
            b"BI /W 2 /H 2 /BPC 8 /CS /G ID abcd EI",
            resources="/XObject << /I 10 0 R /F 11 0 R >> /Shading << /H 12 0 R >>",
            objects=(image, form, shading),
        ),
        pdf(
            b"/S cs 1 scn 10 10 20 20 re f /G gs 0.3 scn 5 5 m 60 30 l 40 2 l h B",
            resources=f"/ColorSpace << /S [{SPOT_SPACE}] >> /ExtGState << /G << /ca 0.5 /OP true /op true >> >>",
            page="/UserUnit 1.5 /Rotate 90",
        ),
    ]
