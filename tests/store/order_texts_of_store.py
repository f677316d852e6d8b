"""Order texts for the store's tests."""


def order_text(*, name="Harbour Ünder tees", id="A-17", quantity=144, due="2026-12-10"):  # noqa: A002 - the file's key
    return f"""# written by hand
[order]
name = "{name}"
id = "{id}"
quantity = {quantity}
due = {due}

[garment]
care_label = "100% cotton"
structure = "jersey"
mass_gsm = 180
colour = "#1d1e22"

[[print]]
place = "front"
width_mm = 300
height_mm = 350
coverage = 0.4
inks = ["white"]
"""


ORDER = order_text()
