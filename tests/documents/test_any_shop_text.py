"""Whatever stands on a shop's shelves: a shop comes back, or one sentence, never another error."""

import tomllib

import pytest
from any_value import VALUES
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shelf_texts import GOOD

from laydown.documents.dryer_file import DryerEntry, ZoneEntry
from laydown.documents.garment_file import GarmentEntry
from laydown.documents.ink_file import InkEntry
from laydown.documents.press_file import FlashEntry, PressEntry
from laydown.documents.rule_file import ConditionEntry, RuleEntry
from laydown.documents.screen_file import MeshEntry, ScreenEntry
from laydown.documents.shop_file import ClimateEntry, CostsEntry, PracticeEntry, PreferencesEntry
from laydown.documents.shop_folder import read_shop
from laydown.documents.template import copy_template
from laydown.documents.toml_text import toml_text
from laydown.domain.shop import Shop
from laydown.errors import LaydownError

MANY = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))

# File, the way to the table within it, and the model that says which keys the table may have.
TABLES = (
    ("garments.toml", ("garment", 0), GarmentEntry),
    ("inks.toml", ("ink", 0), InkEntry),
    ("presses.toml", ("press", 0), PressEntry),
    ("presses.toml", ("press", 0, "flash", 0), FlashEntry),
    ("dryers.toml", ("dryer", 0), DryerEntry),
    ("dryers.toml", ("dryer", 0, "zone", 0), ZoneEntry),
    ("rules.toml", ("rule", 0), RuleEntry),
    ("rules.toml", ("rule", 0, "when", 0), ConditionEntry),
    ("shop.toml", ("preferences",), PreferencesEntry),
    ("shop.toml", ("climate",), ClimateEntry),
    ("shop.toml", ("costs",), CostsEntry),
    ("shop.toml", ("practice",), PracticeEntry),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shop") / "demo"
    copy_template(folder)
    for file, text in GOOD.items():
        (folder / file).write_text(text, encoding="utf-8")
    return folder


def shop_or_sentence(folder, file, content):
    good = (folder / file).read_bytes()
    (folder / file).write_bytes(content)
    try:
        shop = read_shop(folder)
    except LaydownError as error:
        sentence = str(error)
        assert sentence.strip()
        assert "\n" not in sentence
        return
    finally:
        (folder / file).write_bytes(good)
    assert isinstance(shop, Shop)


@MANY
@given(where=st.sampled_from(TABLES), key=st.integers(0, 60), value=VALUES)
def test_any_value_under_any_key(where, key, value, folder):
    file, way, model = where
    document = tomllib.loads((folder / file).read_text(encoding="utf-8"))
    table = document.setdefault(way[0], {})
    for step in way[1:]:
        table = table[step]
    keys = [*(field.alias or name for name, field in model.model_fields.items()), "like"]
    table[keys[key % len(keys)]] = value

    shop_or_sentence(folder, file, toml_text(document).encode())


@MANY
@given(file=st.sampled_from(["shop.toml", *GOOD, "screens.csv", "meshes.csv"]), content=st.binary(max_size=80))
def test_any_bytes_as_a_shelf(file, content, folder):
    shop_or_sentence(folder, file, content)


@MANY
@given(
    shelf=st.sampled_from([("screens.csv", ScreenEntry), ("meshes.csv", MeshEntry)]),
    columns=st.lists(st.integers(0, 20), min_size=1, max_size=12, unique=True),
    cells=st.lists(
        st.sampled_from(["", "1", "43/80", "closed", "500x600", "nan", "-1", "1e999", "ready", "plain", "9" * 5000])
        | st.text(max_size=5),
        min_size=12,
        max_size=12,
    ),
)
def test_any_cells_of_a_csv_shelf(shelf, columns, cells, folder):
    file, model = shelf
    names = [*model.model_fields, "opening_um.low", "opening_um.high", "opening_um.grade"]
    head = [names[column] for column in columns if column < len(names)] or ["name"]
    text = ",".join(head) + "\n" + ",".join(cells[: len(head)]) + "\n"

    shop_or_sentence(folder, file, text.encode("utf-8", "surrogatepass"))
