"""A PDF page as one ink sees it: that ink from white to black, everything else as white paper.

The page is written anew with other colour spaces and then drawn like any page, so that shapes, clips, soft edges, masks
and images fall where they fall in the picture. Nothing that another page or a soft mask shares is changed: what has to
differ is copied.
"""

from __future__ import annotations

from typing import Any

from laydown.artwork.reading.pdf_colours import (
    DEEPEST,
    base_space,
    colorants,
    components,
    entries,
    inherited,
    is_dictionary,
)

_WHITE = "/LaydownWhite"
_DEVICES = {
    "/DeviceGray": 1,
    "/DeviceRGB": 3,
    "/DeviceCMYK": 4,
    "/CalGray": 1,
    "/CalRGB": 3,
    "/G": 1,
    "/RGB": 3,
    "/CMYK": 4,
}
_FILL = {"g", "rg", "k"}
_STROKE = {"G", "RG", "K"}
_BOXES = ("/MediaBox", "/CropBox", "/Rotate")


class Plate:
    """Rewrites what one page needs for one ink.

    Parameters
    ----------
    pdf : pikepdf.Pdf
        The file; new objects are added to it.
    spot : str
    """

    def __init__(self, pdf: Any, spot: str) -> None:
        self._pdf = pdf
        self._spot = spot
        self._done: dict[tuple[int, int], Any] = {}
        self._whites: dict[int, Any] = {}

    def page(self, page: Any) -> Any:
        """A new page dictionary."""
        from pikepdf import Dictionary, Page

        resources = self._resources(inherited(page, "/Resources"), 0)
        made = Dictionary(Type=page["/Type"], Resources=resources)
        for key in _BOXES:
            value = inherited(page, key)
            if value is not None:
                made[key] = value
        if "/Group" in page:
            made["/Group"] = page["/Group"]
        made["/Contents"] = self._pdf.make_stream(b"1 g 1 G\n" + self._content(Page(page), resources))
        return self._pdf.make_indirect(made)

    def _space(self, space: Any) -> Any:
        """A colour space whose colours are this ink's tone as grey."""
        from pikepdf import Array, Name

        kind = str(space[0]) if isinstance(space, Array) and len(space) else str(space)
        if kind in {"/Indexed", "/I"} and len(space) == 4:
            return Array([Name.Indexed, self._space(space[1]), space[2], space[3]])
        if kind == "/Pattern":
            return (
                Array([Name.Pattern, self._space(space[1])]) if isinstance(space, Array) and len(space) > 1 else space
            )
        names = colorants(space)
        if names == ["None"]:
            return space
        if "All" in names or self._spot in names:
            here = names.index(self._spot if self._spot in names else "All")
            return self._tinted(names, here)
        count = components(space)
        return space if count is None else self._white(count)

    def _tinted(self, names: list[str], here: int) -> Any:
        """Tone of the ink at one place among several: dark where it is full."""
        from pikepdf import Array, Name

        count = len(names)
        program = f"{{ {count - 1 - here} index {count + 1} 1 roll {'pop ' * count}1 exch sub }}"
        if count == 1:
            return Array([Name.Separation, Name("/Ink"), Name.DeviceGray, self._function("{ 1 exch sub }", 1)])
        inks = Array([Name(f"/Ink{k}") for k in range(count)])
        return Array([Name.DeviceN, inks, Name.DeviceGray, self._function(program, count)])

    def _white(self, count: int) -> Any:
        """A space of so many components in which every colour is white."""
        from pikepdf import Array, Name

        if count not in self._whites:
            function = self._function(f"{{ {'pop ' * count}1 }}", count)
            inks = Array([Name(f"/Paper{k}") for k in range(count)])
            first = [Name.Separation, Name.Paper] if count == 1 else [Name.DeviceN, inks]
            self._whites[count] = self._pdf.make_indirect(Array([*first, Name.DeviceGray, function]))
        return self._whites[count]

    def _function(self, program: str, count: int) -> Any:
        return self._pdf.make_stream(program.encode(), FunctionType=4, Domain=[0, 1] * count, Range=[0, 1])

    def _resources(self, resources: Any, depth: int) -> Any:
        """A copy of a resource dictionary for this ink."""
        from pikepdf import Dictionary

        made = Dictionary(resources) if is_dictionary(resources) else Dictionary()
        spaces = Dictionary({name: self._space(space) for name, space in entries(made, "/ColorSpace")})
        for count in (1, 3, 4):
            spaces[f"{_WHITE}{count}"] = self._white(count)
        made["/ColorSpace"] = spaces
        for kind in ("/XObject", "/Pattern", "/Shading", "/Font", "/ExtGState"):
            if kind in made:
                found = entries(made, kind) if depth <= DEEPEST else ()
                made[kind] = Dictionary({name: self._thing(kind, one, depth) for name, one in found})
        return made

    def _thing(self, kind: str, thing: Any, depth: int) -> Any:
        """One named resource for this ink; each is made once."""
        if not is_dictionary(thing):
            return thing
        key = thing.objgen if thing.is_indirect else None
        if key in self._done:
            return self._done[key]
        if key is not None:
            self._done[key] = self._pdf.make_stream(b"")  # a form that draws itself meets this and ends there
        made = self._made(kind, thing, depth)
        if key is not None:
            self._done[key] = made
        return made

    def _made(self, kind: str, thing: Any, depth: int) -> Any:
        if kind == "/ExtGState":
            return self._state(thing)
        if kind == "/Shading":
            return self._shading(thing)
        if kind == "/Font":
            return self._font(thing, depth) if thing.get("/Subtype") == "/Type3" else thing
        if kind == "/Pattern" and thing.get("/PatternType") == 2:
            from pikepdf import Dictionary

            made = Dictionary(thing)
            if is_dictionary(thing.get("/Shading")):
                made["/Shading"] = self._shading(thing["/Shading"])
            return made
        if kind == "/XObject" and thing.get("/Subtype") == "/Image":
            return self._image(thing)
        return self._form(thing, depth, b"1 g 1 G\n" if kind == "/Pattern" else b"")

    def _form(self, form: Any, depth: int, start: bytes) -> Any:
        """A form or a tile: its own content with its own resources."""
        resources = self._resources(form.get("/Resources"), depth + 1)
        made = self._pdf.make_stream(start + self._content(form, resources))
        for key, value in form.items():
            if key not in {"/Length", "/Filter", "/DecodeParms", "/Resources"}:
                made[key] = value
        made["/Resources"] = resources
        return made

    def _font(self, font: Any, depth: int) -> Any:
        """A font whose letters are little drawings, which may set colours."""
        from pikepdf import Dictionary, Stream

        made = Dictionary(font)
        resources = self._resources(font.get("/Resources"), depth + 1)
        made["/Resources"] = resources
        made["/CharProcs"] = Dictionary(
            {
                name: self._pdf.make_stream(self._content(one, resources)) if isinstance(one, Stream) else one
                for name, one in entries(font, "/CharProcs")
            }
        )
        return made

    def _shading(self, shading: Any) -> Any:
        from pikepdf import Dictionary, Stream

        made = self._copy(shading) if isinstance(shading, Stream) else Dictionary(shading)
        if "/ColorSpace" in made:
            made["/ColorSpace"] = self._space(made["/ColorSpace"])
        return made

    def _image(self, image: Any) -> Any:
        """An image with its ink's tone; one without that ink becomes a white pixel of the same outline."""
        if image.get("/ImageMask", False):
            return image
        space = image.get("/ColorSpace")
        shown = space is not None and ({self._spot, "All"} & set(colorants(base_space(space))))
        keyed = "/Mask" in image and not is_dictionary(image["/Mask"])
        if space is not None and (shown or keyed):
            made = self._copy(image)
            made["/ColorSpace"] = self._space(space)
            return made
        from pikepdf import Name

        made = self._pdf.make_stream(b"\xff", Type=Name.XObject, Subtype=Name.Image, Width=1, Height=1)
        made["/ColorSpace"], made["/BitsPerComponent"] = Name.DeviceGray, 8
        for key in ("/SMask", "/Mask"):
            if key in image:
                made[key] = image[key]
        return made

    def _copy(self, stream: Any) -> Any:
        """A stream of its own with the same bytes, still compressed."""
        made = self._pdf.make_stream(b"")
        made.write(stream.read_raw_bytes(), filter=stream.get("/Filter"), decode_parms=stream.get("/DecodeParms"))
        for key, value in stream.items():
            if key not in {"/Length", "/Filter", "/DecodeParms"}:
                made[key] = value
        return made

    def _state(self, state: Any) -> Any:
        """Overprinting as multiplying, which on a plate is the same: white leaves the ink below alone."""
        from pikepdf import Dictionary, Name

        asked = [state.get(key) for key in ("/OP", "/op") if key in state]
        if not asked or "/BM" in state:
            return state
        made = Dictionary(state)
        made["/BM"] = Name.Multiply if any(one is True for one in asked) else Name.Normal
        return made

    def _content(self, stream: Any, resources: Any) -> bytes:
        """Drawing instructions with their process colours turned to white."""
        from pikepdf import ContentStreamInlineImage, parse_content_stream, unparse_content_stream

        made: list[Any] = []
        for step in parse_content_stream(stream):
            if isinstance(step, ContentStreamInlineImage):
                made += self._inline(step, resources)
                continue
            name = str(step.operator)
            if name in _FILL | _STROKE:
                made.append(([1], _operator("g" if name in _FILL else "G")))
            elif name in {"cs", "CS"} and len(step.operands) == 1:
                made.append(([self._named(step.operands[0], resources)], step.operator))
            else:
                made.append(step)
        return bytes(unparse_content_stream(made)) + b"\n"

    @staticmethod
    def _named(name: Any, resources: Any) -> Any:
        """A device space by the name of its white twin."""
        from pikepdf import Name

        count = _DEVICES.get(str(name))
        return name if count is None or name in resources["/ColorSpace"] else Name(f"{_WHITE}{count}")

    @staticmethod
    def _inline(step: Any, resources: Any) -> list[Any]:
        """An image among the instructions: a white square, unless its space is named and so has been replaced."""
        entry = step.iimage.obj
        space = entry.get("/ColorSpace", entry.get("/CS"))
        mask = entry.get("/ImageMask", entry.get("/IM", False))
        if mask or (space is not None and str(space) in resources["/ColorSpace"]):
            return [step]
        square: tuple[tuple[list[int], str], ...] = (([], "q"), ([1], "g"), ([0, 0, 1, 1], "re"), ([], "f"), ([], "Q"))
        return [(operands, _operator(name)) for operands, name in square]


def _operator(name: str) -> Any:
    from pikepdf import Operator

    return Operator(name)


def swatch(pdf: Any, spot: str, space: Any) -> Any:
    """A page filled with one ink at full tone in the colours that the file shows it in."""
    from pikepdf import Array, Dictionary, Name

    tones = " ".join("1" if name == spot else "0" for name in colorants(space))
    return pdf.make_indirect(
        Dictionary(
            Type=Name.Page,
            MediaBox=Array([0, 0, 8, 8]),
            Resources=Dictionary(ColorSpace=Dictionary(Ink=space)),
            Contents=pdf.make_stream(f"/Ink cs {tones} scn 0 0 8 8 re f".encode()),
        )
    )


__all__ = ["Plate", "swatch"]
