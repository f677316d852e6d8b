"""Every mistake in a shop's folder is told in one sentence: file, key or line, what is wrong, what would be allowed."""

import re

import pytest
from shelf_texts import DRYER, GOOD, RULE

from laydown.documents.shop_folder import SHELF_FILES, read_shop
from laydown.documents.template import copy_template
from laydown.errors import InvalidInput


@pytest.fixture
def folder(tmp_path):
    copy_template(tmp_path / "shop", with_orders=False)
    return tmp_path / "shop"


def told(folder):
    with pytest.raises(InvalidInput) as caught:
        read_shop(folder)
    sentence = str(caught.value)
    assert "\n" not in sentence
    return sentence


def write(folder, file, text):
    (folder / file).write_text(text, encoding="utf-8")


def test_each_good_entry_is_read(folder):
    for file, text in GOOD.items():
        write(folder, file, text)

    shop = read_shop(folder)

    assert [len(shelf) for kind, shelf in shop.shelves() if kind != "screens"] == [1, 1, 1, 1, 1]


CASES = [
    # garments
    (
        "garments.toml",
        "name = ",
        "nam = ",
        r"garments.toml, garment\[1\].nam: this key is unknown; did you mean 'name'\? allowed are",
    ),
    (
        "garments.toml",
        "mass_gsm = 180",
        "mass_gsm = 5",
        r"garment\[1\].mass_gsm \(tee\): 5 g/m² is not allowed; allowed is 20 to 1000 g/m²",
    ),
    ("garments.toml", "100% cotton", "80% cotton", r"garments.toml, garment\[1\].care_label \(tee\): .*80 %"),
    ("garments.toml", '"#1d1e22"', '"black"', r"garments.toml, garment\[1\] \(tee\): 'black' is no sRGB colour"),
    (
        "garments.toml",
        'colour = "#1d1e22"',
        'spectrum = "black.csv"',
        r"garment\[1\].spectrum \(tee\): there is no file 'black.csv' in the folder",
    ),
    (
        "garments.toml",
        "[[garment]]",
        "[garment]",
        r"garments.toml, garment: entries of this file are written as \[\[garment\]\] blocks",
    ),
    (
        "garments.toml",
        "[[garment]]",
        "[[garmet]]",
        r"garments.toml, garmet: this key is unknown; did you mean 'garment'\? allowed is garment, written \[\[gar",
    ),
    ("garments.toml", "[[garment]]", "garment = [1, 2]\n[[x]]", r"garments.toml, x: this key is unknown"),
    (
        "garments.toml",
        'name = "tee"\n',
        'name = "tee"\nprice = -1\n',
        r"garment\[1\].price \(tee\): -1 is not allowed; allowed is 0 to 10000",
    ),
    # inks
    (
        "inks.toml",
        'kind = "white"',
        'kind = "withe"',
        r"ink\[1\].kind \(White\): 'withe' is unknown; did you mean 'white'\? allowed are white, colour, barrier",
    ),
    (
        "inks.toml",
        "fusion_c = 160",
        "fusion_k = 433",
        r"ink\[1\].fusion_k \(White\): this key is unknown; did you mean 'fusion_[cf]'\?",
    ),
    (
        "inks.toml",
        "fusion_c = 160",
        "fusion_c = 160\nfusion_f = 320",
        r"ink\[1\] \(White\): fusion_c and fusion_f say the same thing in two units",
    ),
    (
        "inks.toml",
        "fusion_c = 160\n",
        "",
        r"ink\[1\] \(White\): fusion_c or fusion_f or cure_c or cure_f is missing; exactly one",
    ),
    (
        "inks.toml",
        "fusion_c = 160",
        "fusion_c = 320",
        r"ink\[1\].fusion_c \(White\): 320 °C is not allowed; allowed is 20 to 250 °C",
    ),
    (
        "inks.toml",
        "fusion_c = 160",
        "fusion_f = 160.0\nhold = 3",
        r"ink\[1\].hold \(White\): this key is unknown; did you mean 'hold_s'\?",
    ),
    ("inks.toml", "hold_s = 3\n", "", r"ink\[1\].hold_s \(White\): this key is missing: time at that temperature"),
    ("inks.toml", "gel_c = 110\n", "", r"ink\[1\] \(White\): White is a plastisol, so it needs a gel temperature"),
    ("inks.toml", 'colour = "#f7f7f4"\n', "", r"ink\[1\] \(White\): contrast ratio and spectra belong to a colour"),
    (
        "inks.toml",
        "contrast_ratio = 0.75\n",
        "",
        r"ink\[1\] \(White\): an ink's optics are given either by a contrast ratio or by spectra",
    ),
    (
        "inks.toml",
        'colour = "#f7f7f4"\ncontrast_ratio = 0.75\n',
        "",
        r"ink\[1\] \(White\): White is printed, so it needs optics",
    ),
    (
        "inks.toml",
        "contrast_ratio = 0.75",
        "contrast_ratio = 75",
        r"contrast_ratio \(White\): 75 is not allowed; allowed is 0.005 to 0.995",
    ),
    (
        "inks.toml",
        "contrast_ratio = 0.75",
        "scattering_per_mm = [1, 2]",
        r"scattering_per_mm \(White\): 2 entries; allowed are at least 36",
    ),
    (
        "inks.toml",
        "contrast_ratio = 0.75",
        "capacity = 0.1\ncontrast_ratio = 0.75",
        r"White has a blocker capacity but its blocker is 'none'",
    ),
    (
        "inks.toml",
        "contrast_ratio = 0.75",
        'blocker = "reactive"\ncontrast_ratio = 0.75',
        r"the blocker is 'reactive', so capacity is needed",
    ),
    ("inks.toml", "price_per_kg = 11", "price_per_kg = nan", r"price_per_kg \(White\): nan is no finite number"),
    (
        "inks.toml",
        "price_per_kg = 11",
        "price_per_kg = 11\ntack = 9",
        r"tack \(White\): 9 is not allowed; allowed is 1 to 5",
    ),
    (
        "inks.toml",
        "price_per_kg = 11",
        'price_per_kg = 11\nbonds = ["wood"]',
        r"bonds\[1\] \(White\): 'wood' is unknown; allowed are cotton, polyester, nylon, coated",
    ),
    (
        "inks.toml",
        'kind = "white"',
        'kind = "reducer"',
        r"White goes into other inks, so it needs a share limit above 0",
    ),
    (
        "inks.toml",
        "price_per_kg = 11",
        "price_per_kg = 11\npail_kg = 0",
        r"pail_kg \(White\): 0 kg is not allowed; allowed is above 0 up to 1000 kg",
    ),
    # likeness
    (
        "inks.toml",
        "fusion_c = 160",
        'like = "Whit"\nfusion_c = 160',
        r"ink\[1\].like \(White\): there is no ink named 'Whit' in this file; did you mean 'White'\?",
    ),
    (
        "inks.toml",
        "fusion_c = 160",
        'like = "White"\nfusion_c = 160',
        r"ink\[1\].like \(White\): the likeness goes round in a circle: 'White' is like 'White'; one of them must",
    ),
    (
        "inks.toml",
        "[[ink]]",
        '[[ink]]\nname = "A"\nlike = "B"\n[[ink]]\nname = "B"\nlike = "C"\n[[ink]]\nname = "C"\nlike = "A"\n[[ink]]',
        r"inks.toml, ink\[3\].like \(C\): .*circle: 'A' is like 'B' is like 'C' is like 'A'",
    ),
    (
        "inks.toml",
        "fusion_c = 160",
        "like = 3\nfusion_c = 160",
        r"ink\[1\].like \(White\): like names another entry of this file, as a text in quotes",
    ),
    (
        "inks.toml",
        "[[ink]]",
        '[[ink]]\nname = "White"\nlike = "White"\n[[ink]]',
        r"inks.toml, ink\[2\].name: 'White' is the name of ink\[1\] already; names must differ",
    ),
    (
        "inks.toml",
        "[[ink]]",
        '[[ink]]\nlike = "White"\n[[ink]]',
        r"inks.toml, ink\[1\].name: this key is missing: name on the shelf",
    ),
    # presses
    (
        "presses.toml",
        "flash_heads = [2, 4]",
        "flash_heads = [2, 9]",
        r"press\[1\] \(Auto\): Auto has 8 heads, so a flash may stand at 1 to 8, not at \[2, 9\]",
    ),
    (
        "presses.toml",
        "flash_heads = [2, 4]",
        "flash_heads = [0]",
        r"press\[1\].flash_heads\[1\] \(Auto\): 0 is not allowed; allowed is at least 1",
    ),
    (
        "presses.toml",
        "flash_heads = [2, 4]\n",
        "",
        r"press\[1\] \(Auto\): Auto has a flash but no head where it may stand",
    ),
    (
        "presses.toml",
        "heads = 8",
        "heads = 8.5",
        r"press\[1\].heads \(Auto\): 8.5 does not fit; a whole number is needed",
    ),
    (
        "presses.toml",
        "heads = 8",
        "heads = true",
        r"press\[1\].heads \(Auto\): true does not fit; a whole number is needed",
    ),
    (
        "presses.toml",
        "radiant_c = 450",
        "radiant_c = 4500",
        r"press\[1\].flash\[1\].radiant_c \(Auto\): 4500 °C is not allowed; allowed is 30 to 2700 °C",
    ),
    (
        "presses.toml",
        "exchange = 0.3",
        "exchange = 1.3",
        r"press\[1\].flash\[1\].exchange \(Auto\): 1.3 is not allowed; allowed is 0 to 1",
    ),
    (
        "presses.toml",
        "[[press.flash]]",
        "[press.flash]",
        r"press\[1\].flash \(Auto\): a table does not fit; blocks that begin with \[\[flash\]\] are needed",
    ),
    (
        "presses.toml",
        "stroke_mm_per_s = 500",
        "stroke_mm_per_s = 0",
        r"stroke_mm_per_s \(Auto\): 0 mm/s is not allowed; allowed is above 0 up to 5000 mm/s",
    ),
    # dryers
    (
        "dryers.toml",
        "setting_c = 400",
        "setting_c = 600",
        r"dryer\[1\] \(Gas\): Gas: the usual setting must lie between the lowest and the highest",
    ),
    (
        "dryers.toml",
        "speed_low_m_per_min = 1",
        "speed_low_m_per_min = 10",
        r"dryer\[1\] \(Gas\): Gas: the lowest belt speed must lie below the highest",
    ),
    (
        "dryers.toml",
        "air_follow = 0.3",
        "air_follow = 3",
        r"dryer\[1\].zone\[1\].air_follow \(Gas\): 3 is not allowed; allowed is 0 to 1",
    ),
    (
        "dryers.toml",
        DRYER[DRYER.index("[[dryer.zone]]") :],
        "",
        r"dryer\[1\] \(Gas\): Gas has no zone; a dryer needs at least one",
    ),
    (
        "dryers.toml",
        "belt_width_mm = 1200",
        "belt_width_mm = 1200\nbelt_width_in = 48",
        r"dryer\[1\] \(Gas\): belt_width_mm and belt_width_in say the same",
    ),
    # rules
    (
        "rules.toml",
        '"forbid"',
        '"prohibit"',
        r"rules.toml, rule\[1\].effect \(no reducer\): 'prohibit' is unknown; allowed are forbid, require",
    ),
    (
        "rules.toml",
        "above = 0",
        "more_than = 0",
        r"rule\[1\].when\[1\].more_than \(no reducer\): this key is unknown; .*allowed are fact, is, is_not, at_least",
    ),
    (
        "rules.toml",
        ", above = 0",
        "",
        r"rule\[1\].when\[1\] \(no reducer\): the condition on 'reducer' has no test; exactly one of is, is_not",
    ),
    (
        "rules.toml",
        "above = 0",
        "above = 0, below = 1",
        r"the condition on 'reducer' has 2 tests \(above, below\); exactly one of",
    ),
    (
        "rules.toml",
        "above = 0",
        'above = "much"',
        r"rule\[1\].when\[1\].above \(no reducer\): 'much' does not fit; a number is needed",
    ),
    (
        "rules.toml",
        "above = 0",
        "is = nan",
        r"rule\[1\].when\[1\].is \(no reducer\): nan does not fit; a text, a finite number, true or false",
    ),
    (
        "rules.toml",
        "above = 0",
        "any_of = []",
        r"rule\[1\].when\[1\].any_of \(no reducer\): 0 entries; allowed are at least 1",
    ),
    (
        "rules.toml",
        'reason = "it thins the blocker"\n',
        "",
        r"rules.toml, rule\[1\].reason \(no reducer\): this key is missing: why, in the sentence that a printer reads",
    ),
    (
        "rules.toml",
        '"it thins the blocker"',
        '" "',
        r"rules.toml, rule\[1\] \(no reducer\): the rule 'no reducer' gives no reason; a rule says why",
    ),
    (
        "rules.toml",
        'source = "common practice"\n',
        "",
        r"rule\[1\].source \(no reducer\): this key is missing: where the rule is from",
    ),
    (
        "rules.toml",
        '[{ fact = "reducer", above = 0 }]',
        "[]",
        r"rule\[1\] \(no reducer\): the rule 'no reducer' has no 'when', so it would always apply",
    ),
    (
        "rules.toml",
        '"forbid"',
        '"require"',
        r"rule\[1\] \(no reducer\): the rule 'no reducer': 'require' needs a 'must'",
    ),
    (
        "rules.toml",
        "above = 0 }]",
        "above = 0 }]\nweight = 2",
        r"rule\[1\].weight \(no reducer\): 2 is not allowed; allowed is 0 to 1",
    ),
    (
        "rules.toml",
        "above = 0 }]",
        'above = 0 }]\nactive = "no"',
        r"rule\[1\].active \(no reducer\): 'no' does not fit; true or false is needed",
    ),
    # TOML itself
    ("rules.toml", "[[rule]]", "[[rule", r"rules.toml, line 1, column 7: this is not TOML"),
]


@pytest.mark.parametrize(
    ("file", "old", "new", "pattern"), CASES, ids=[f"{c[0]}:{c[2]}"[:60].replace("\n", " ") for c in CASES]
)
def test_a_mistake_on_a_shelf_is_told_in_one_sentence(folder, file, old, new, pattern):
    text = GOOD[file]
    assert old in text
    write(folder, file, text.replace(old, new, 1))

    assert re.search(pattern, told(folder))


SHOP_CASES = [
    ('name = "Saltmarsh Press Works"\n', "", r"shop.toml, shop.name: this key is missing: name of the shop"),
    ('temperature = "C"', 'temperature = "K"', r"shop.toml, preferences.temperature: 'K' is unknown; allowed are C, F"),
    (
        "temperature_c = {",
        "temperature_c = { pm = 1,",
        "shop.toml, line 18, column 45: this is not TOML: duplicate inline table key 'pm'",
    ),
    (
        "margin_percent = 30",
        "margin_percent = 99",
        r"shop.toml, costs.margin_percent: 99 % is not allowed; allowed is 0 to 95 %",
    ),
    (
        "spoilage_percent = 3",
        "spoilage_percent = -3",
        r"shop.toml, costs.spoilage_percent: -3 % is not allowed; allowed is 0 to 100 %",
    ),
    ('currency = "USD"', 'currency = "dollars"', r"shop.toml, costs.currency: 7 characters; allowed are at most 5"),
    (
        "labour_per_hour = 18 ",
        "labour = 18 ",
        r"shop.toml, costs.labour: this key is unknown; did you mean 'labour_per_hour'\?",
    ),
    ("[climate]", "[weather]", r"shop.toml, weather: this key is unknown|shop.toml, climate: this key is missing"),
    (
        "humidity_percent = { value = 60, pm = 15 }",
        "humidity_percent = 0.6\nhumidity = 1",
        "shop.toml, climate.humidity: this key is unknown",
    ),
]


@pytest.mark.parametrize(("old", "new", "pattern"), SHOP_CASES, ids=[new[:40] for _, new, _ in SHOP_CASES])
def test_a_mistake_in_the_shops_own_file_is_told_in_one_sentence(folder, old, new, pattern):
    text = (folder / "shop.toml").read_text(encoding="utf-8")
    assert old in text
    write(folder, "shop.toml", text.replace(old, new, 1))

    assert re.search(pattern, told(folder))


CSV_CASES = [
    (
        "screens.csv",
        "",
        "screens.csv: the head with the names of the columns is missing; allowed are name, mesh, eom_um",
    ),
    (
        "screens.csv",
        "name,mash\na,43/80",
        r"screens.csv, line 1: the column 'mash' is unknown; did you mean 'mesh'\? allowed are name, mesh",
    ),
    ("screens.csv", "name,mesh,mesh\na,43/80,", "screens.csv, line 1: the column 'mesh' stands twice"),
    (
        "screens.csv",
        "# a comment\n\nname,mesh\na,43/80,3",
        "screens.csv, line 4: 3 cells, but the head of the file has 2: name, mesh",
    ),
    ("screens.csv", 'name,mesh\n"a,43/80', "screens.csv, line 2: this line is not CSV"),
    (
        "screens.csv",
        "name,mesh\na,43/81",
        r"screens.csv, line 2, mesh: there is no mesh '43/81' in the shipped table or in meshes.csv; did you mean",
    ),
    (
        "screens.csv",
        "name,mesh\na,43/80\na,43/80",
        "screens.csv, line 3: the screen 'a' stands twice; names must differ",
    ),
    ("screens.csv", "name,mesh\n,43/80", "screens.csv, line 2, name: this key is missing: name in the rack"),
    (
        "screens.csv",
        "name,mesh,eom_um\na,43/80,thick",
        "screens.csv, line 2, eom_um: 'thick' does not fit; a number is needed",
    ),
    ("screens.csv", "name,mesh,eom_um\na,43/80,nan", "screens.csv, line 2, eom_um: nan is no finite number"),
    (
        "screens.csv",
        "name,mesh,eom_um\na,43/80,-3",
        "screens.csv, line 2, eom_um: -3 µm is not allowed; allowed is 0 to 400 µm",
    ),
    (
        "screens.csv",
        "name,mesh,count\na,43/80,2.5",
        "screens.csv, line 2, count: 2.5 does not fit; a whole number is needed",
    ),
    (
        "screens.csv",
        "name,mesh,frame_mm\na,43/80,big",
        "screens.csv, line 2: frame_mm is 'big'; a frame is width x height, for example 500x600",
    ),
    (
        "screens.csv",
        "name,mesh,frame_mm\na,43/80,5x6",
        "screens.csv, line 2: frame width of a is 0.005; allowed is 0.05 to 3 m",
    ),
    (
        "screens.csv",
        "name,mesh,frame_mm,frame_in\na,43/80,500x600,20x24",
        "screens.csv, line 2: frame_mm and frame_in say the same thing",
    ),
    (
        "screens.csv",
        "name,mesh,state\na,43/80,dirty",
        "screens.csv, line 2, state: 'dirty' is unknown; allowed are ready, coated, reclaim first, in use",
    ),
    (
        "meshes.csv",
        "name,count_per_cm,thread_um,opening_um,thickness_um,volume_cm3_m2\nm,43,80,149,135,x",
        "meshes.csv, line 2, volume_cm3_m2: 'x' is neither a number nor a table",
    ),
    (
        "meshes.csv",
        "name,count_per_cm,thread_um,opening_um,thickness_um,volume_cm3_m2\nm,4300,80,149,135,55",
        "meshes.csv, line 2, count_per_cm: 4300 threads/cm is not allowed; allowed is 5 to 250",
    ),
    (
        "meshes.csv",
        "name,count_per_cm,thread_um,opening_um,thickness_um\nm,43,80,149,135",
        "meshes.csv, line 2, volume_cm3_m2: this key is missing: theoretical ink volume",
    ),
    (
        "meshes.csv",
        "name,count_per_cm,thread_um,opening_um,opening_um.low,thickness_um,volume_cm3_m2\nm,43,80,149,150,135,55",
        "meshes.csv, line 2, opening_um: low and high are given together",
    ),
    (
        "meshes.csv",
        "name,count_per_cm,count_per_in,thread_um,opening_um,thickness_um,volume_cm3_m2\nm,43,110,80,149,135,55",
        "meshes.csv, line 2: count_per_cm and count_per_in say the same thing",
    ),
    (
        "meshes.csv",
        "name,count_per_cm,thread_um,opening_um,thickness_um,volume_cm3_m2\nm,43,80,149,135,55\nm,43,80,149,135,55",
        "meshes.csv, line 3: the mesh 'm' stands twice",
    ),
]


@pytest.mark.parametrize(
    ("file", "text", "pattern"), CSV_CASES, ids=[f"{c[0]}:{c[1]}"[:60].replace("\n", " ") for c in CSV_CASES]
)
def test_a_mistake_in_a_csv_shelf_is_told_with_its_line(folder, file, text, pattern):
    write(folder, file, text)

    assert re.search(pattern, told(folder))


@pytest.mark.parametrize(("file", "purpose"), SHELF_FILES)
def test_a_missing_file_is_told_with_what_it_is_for(folder, file, purpose):
    (folder / file).unlink()

    assert told(folder) == f"{folder / file}: there is no such file; it is for {purpose}"


@pytest.mark.parametrize("file", [file for file, _ in SHELF_FILES] + ["meshes.csv"])
def test_a_file_that_is_not_utf_8_is_told_with_its_line(folder, file):
    (folder / file).write_bytes(b"# a\n# \xe4\n")

    assert re.search(rf"{file}, line 2: the text is not UTF-8 \(byte 6 of the file is 0xe4\)", told(folder))


def test_empty_shelves_are_allowed(folder):
    for file in ("garments.toml", "inks.toml", "presses.toml", "dryers.toml", "rules.toml"):
        write(folder, file, "")
    write(folder, "screens.csv", "name,mesh\n")
    (folder / "meshes.csv").unlink()

    shop = read_shop(folder)

    assert all(not shelf for _, shelf in shop.shelves())


def test_a_missing_folder_says_how_to_make_one(tmp_path):
    assert told(tmp_path / "nowhere").endswith(
        "nowhere: there is no such folder; 'laydown init' makes one to start from"
    )


def test_a_file_is_no_shop(tmp_path):
    (tmp_path / "shop").write_text("")

    assert "this is a file, but a shop is a folder" in told(tmp_path / "shop")


def test_a_folder_name_that_no_system_has_is_refused(tmp_path):
    assert "cannot be looked up" in told(tmp_path / ("x" * 5000))


def test_a_mesh_of_ones_own_is_used_before_the_shipped_one(folder):
    head = "name,count_per_cm,thread_um,opening_um,thickness_um,volume_cm3_m2,grade,source\n"
    write(folder, "meshes.csv", head + "43/80,43,80,150,130,54,maker's sheet,sheet of 2026\n")

    mesh = next(screen.mesh for screen in read_shop(folder).screens if screen.mesh and screen.mesh.name == "43/80")

    assert mesh.opening.value == pytest.approx(150e-6, rel=1e-12)
    assert (mesh.opening.grade, mesh.opening.source) == ("maker's sheet", "sheet of 2026")


def test_a_rule_remembers_its_file_and_place(folder):
    write(folder, "rules.toml", RULE + RULE.replace("no reducer", "none again"))

    assert [rule.where for rule in read_shop(folder).rules] == ["rules.toml, rule[1]", "rules.toml, rule[2]"]
