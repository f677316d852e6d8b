"""Mistakes in an order file: a piece of the good order, what stands there instead, and what the sentence says."""

CASES = [
    # unknown and misspelt keys
    (
        "quantity = 144",
        "quantity = 144\nqantity = 1",
        "o.toml, order.qantity: this key is unknown; did you mean 'quantity'? allowed are name, quantity, due",
    ),
    ("[care]\n", "[care]\nhot = true\n", "o.toml, care.hot: this key is unknown; allowed are stack_hot"),
    (
        "[requirements]",
        "[demands]",
        "o.toml, demands: this key is unknown; allowed are order, garment, print, requirements, care",
    ),
    ("width_mm = 300", "width_cm = 30", "o.toml, print[1].width_cm: this key is unknown; did you mean 'width_mm'?"),
    ("mass_gsm = 180", "mass = 180", "o.toml, garment.mass: this key is unknown; did you mean 'mass_gsm'?"),
    ("transit = { celsius", "transit = { kelvin = 1, celsius", "o.toml, care.transit.kelvin: this key is unknown"),
    # two units, or none
    (
        "mass_gsm = 180",
        "mass_gsm = 180\nmass_oz_yd2 = 5.3",
        "o.toml, garment: mass_gsm and mass_oz_yd2 say the same thing in two units; give only one",
    ),
    (
        "width_mm = 300",
        "width_mm = 300\nwidth_in = 12",
        "o.toml, print[1]: width_mm and width_in say the same thing in two units",
    ),
    ("width_mm = 300\n", "", "o.toml, print[1]: width_mm or width_in is missing; exactly one of them is needed"),
    ("mass_gsm = 180\n", "", "o.toml, garment: mass_gsm (or mass_oz_yd2) is missing"),
    ("celsius = 50, ", "", "o.toml, care.transit: celsius or fahrenheit is missing"),
    (", hours = 24", "", "o.toml, care.transit: hours or minutes or days is missing"),
    # missing keys
    ('name = "Harbour regatta tees"\n', "", "o.toml, order.name: this key is missing: what the order is called"),
    ("due = 2026-12-10\n", "", "o.toml, order.due: this key is missing"),
    ('structure = "jersey"\n', "", "o.toml, garment: structure is missing; allowed are jersey, interlock"),
    ('care_label = "50% cotton 50% polyester"\n', "", "o.toml, garment: care_label is missing"),
    ('colour = "#8c1d2f"\n', "", "o.toml, garment: the colour is missing; give colour, lab or spectrum"),
    (
        "coverage = 0.42\n",
        "",
        "o.toml, print[1].coverage: the inked share of the rectangle is needed: a number from 0 to 1",
    ),
    # wrong types
    ("quantity = 144", 'quantity = "144"', "o.toml, order.quantity: '144' does not fit; a whole number is needed"),
    ("quantity = 144", "quantity = 144.5", "o.toml, order.quantity: 144.5 does not fit; a whole number is needed"),
    ("quantity = 144", "quantity = true", "o.toml, order.quantity: true does not fit; a whole number is needed"),
    ("width_mm = 300", 'width_mm = "300"', "o.toml, print[1].width_mm: '300' does not fit; a number is needed"),
    ("stack_hot = true", "stack_hot = 1", "o.toml, care.stack_hot: 1 does not fit; true or false is needed"),
    ("mass_gsm = 180", 'mass_gsm = "180"', "o.toml, garment.mass_gsm: '180' is neither a number nor a table such as"),
    (
        "mass_gsm = 180",
        "mass_gsm = { val = 180 }",
        "o.toml, garment.mass_gsm.val: this key is unknown; did you mean 'value'?",
    ),
    (
        "mass_gsm = 180",
        'mass_gsm = { value = "x" }',
        "o.toml, garment.mass_gsm.value: 'x' does not fit; a number is needed",
    ),
    ('name = "Harbour regatta tees"', "name = 7", "o.toml, order.name: 7 does not fit; a text in quotes is needed"),
    (
        'inks = ["white"]',
        'inks = "white"',
        "o.toml, print[1].inks: 'white' does not fit; a list in square brackets is needed",
    ),
    (
        "coverage = 0.42",
        'coverage = "0.42"',
        "o.toml, print[1].coverage: '0.42' does not fit; a number from 0 to 1 is needed",
    ),
    (
        "coverage = { white = 0.2",
        'coverage = { white = "a lot"',
        "o.toml, print[2].coverage: the share of 'white' is 'a lot'; a number from 0 to 1 is needed",
    ),
    ("[order]", "[[order]]", "o.toml, order: a list does not fit; a table is needed"),
    ("[requirements]", "[[requirements]]", "o.toml, requirements: a list does not fit; a table is needed"),
    # NaN, infinity, huge, negative, out of range
    (
        "width_mm = 300",
        "width_mm = nan",
        "o.toml, print[1].width_mm: nan is no finite number; a finite number is needed",
    ),
    ("height_mm = 350", "height_mm = inf", "o.toml, print[1].height_mm: inf is no finite number"),
    ("mass_gsm = 180", "mass_gsm = nan", "o.toml, garment.mass_gsm.value: nan is no finite number"),
    ("mass_gsm = 180", "mass_gsm = -inf", "o.toml, garment.mass_gsm.value: -inf is no finite number"),
    ("coverage = 0.42", "coverage = nan", "o.toml, print[1].coverage: nan does not fit; a number from 0 to 1"),
    ("width_mm = 300", "width_mm = -300", "o.toml, print[1].width_mm: -300 mm is not allowed; allowed is 5 to 2000 mm"),
    (
        "width_mm = 300",
        "width_mm = 1e9",
        "o.toml, print[1].width_mm: 1,000,000,000 mm is not allowed; allowed is 5 to 2000 mm",
    ),
    ("width_mm = 300", f"width_mm = {10**500}", "o.toml, print[1].width_mm"),
    ("quantity = 144", "quantity = 0", "o.toml, order.quantity: 0 is not allowed; allowed is 1 to 1,000,000"),
    ("quantity = 144", f"quantity = {10**4000}", "is not allowed; allowed is 1 to 1,000,000"),
    ("quantity = 144", f"quantity = {'9' * 5000}", "o.toml: a number in this text has more digits than can be read"),
    (
        "mass_gsm = 180",
        "mass_gsm = 1800",
        "o.toml, garment.mass_gsm: 1800 g/m² is not allowed; allowed is 20 to 1000 g/m²",
    ),
    (
        "mass_gsm = 180",
        "mass_oz_yd2 = 180",
        "o.toml, garment.mass_oz_yd2: 180 oz/yd² is not allowed; allowed is 0.6 to 29.4 oz/yd²",
    ),
    (
        "mass_gsm = 180",
        "mass_gsm = { value = 180, pm = 170 }",
        "garment.mass_gsm: 180 minus 170 is 10 g/m², which is not allowed; allowed is 20 to 1000 g/m²",
    ),
    (
        "coverage = 0.42",
        "coverage = 42",
        "o.toml, print[1].coverage: the coverage of 'white' is 42; allowed is above 0 and up to 1",
    ),
    ("coverage = 0.42", "coverage = 0", "o.toml, print[1].coverage: the coverage of 'white' is 0; allowed is above 0"),
    ("celsius = 50", "celsius = 500", "o.toml, care.transit.celsius: 500 °C is not allowed; allowed is -40 to 149 °C"),
    (
        "bleed_grade = 4",
        "bleed_grade = 4.2",
        "o.toml, requirements: bleed_grade is 4.2; grades go in half steps from 1 to 5",
    ),
    ("bleed_grade = 4", "bleed_grade = 6", "o.toml, requirements.bleed_grade: 6 is not allowed; allowed is 1 to 5"),
    (
        "bleed_days = 30",
        "bleed_days = 90",
        "o.toml, requirements.bleed_days: 90 days is not allowed; allowed is 0 to 60 days",
    ),
    ("bleed_days = 30", "risk = 5", "o.toml, requirements.risk: 5 is not allowed; allowed is 0.001 to 0.5"),
    (
        "bleed_days = 30",
        'hand = "fluffy"',
        "o.toml, requirements.hand: 'fluffy' is unknown; allowed are very soft, soft, medium, firm, heavy",
    ),
    # quantities that contradict themselves
    (
        "mass_gsm = 180",
        "mass_gsm = { value = 180, low = 190, high = 200 }",
        "garment.mass_gsm: the value 180 lies outside its own interval 190 to 200",
    ),
    ("mass_gsm = 180", "mass_gsm = { value = 180, low = 170 }", "garment.mass_gsm: low and high are given together"),
    ("mass_gsm = 180", "mass_gsm = { value = 180, low = 170, high = 190, pm = 5 }", "garment.mass_gsm: give either pm"),
    (
        "mass_gsm = 180",
        "mass_gsm = { value = 180, pm = -5 }",
        "garment.mass_gsm.pm: -5 is not allowed; allowed is at least 0",
    ),
    (
        "mass_gsm = 180",
        'mass_gsm = { value = 180, grade = "hearsay" }',
        "garment.mass_gsm.grade: 'hearsay' is unknown; allowed are measured here, published, maker's sheet",
    ),
    (
        "mass_gsm = 180",
        'mass_gsm = { value = 180, source = "" }',
        "garment.mass_gsm.source: 0 characters; allowed are at least 1",
    ),
    # words
    (
        'structure = "jersey"',
        'structure = "jersy"',
        "o.toml, garment.structure: 'jersy' is unknown; did you mean 'jersey'? allowed are jersey, interlock, rib",
    ),
    ('dye = "disperse, medium energy"', 'dye = "disperse"', "o.toml, garment.dye: 'disperse' is unknown"),
    (
        'dye = "disperse, medium energy"',
        'dye = "vat"',
        "allowed are 'disperse, low energy', 'disperse, medium energy',",
    ),
    (
        'care_label = "50% cotton 50% polyester"',
        'care_label = "50% cotton 40% polyester"',
        "o.toml, garment.care_label: the care label '50% cotton 40% polyester' cannot be read: the shares add up to",
    ),
    (
        'care_label = "50% cotton 50% polyester"',
        "fibres = { cotton = 50, polyester = 40 }",
        "o.toml, garment.fibres: the fibre shares add up to 90 %; they must add up to 100 %",
    ),
    (
        'care_label = "50% cotton 50% polyester"',
        "fibres = { cotton = 50, plastic = 50 }",
        "o.toml, garment.fibres: 'plastic' is no generic fibre name; allowed are cotton, polyester",
    ),
    (
        'care_label = "50% cotton 50% polyester"',
        "fibres = { cotton = -50, polyester = 150 }",
        "o.toml, garment.fibres: the share of cotton is -50 %; it must be above 0 %",
    ),
    (
        'care_label = "50% cotton 50% polyester"',
        'care_label = "100% cotton"\nfibres = { cotton = 100 }',
        "o.toml, garment: care_label and fibres both give the fibre content",
    ),
    # colours
    ('colour = "#8c1d2f"', 'colour = "red"', "o.toml, garment: 'red' is no sRGB colour; write it as '#rrggbb'"),
    (
        'colour = "#8c1d2f"',
        'colour = "#8c1d2f"\nlab = [30, 50, 20]',
        "o.toml, garment: colour and lab both give the colour",
    ),
    ('colour = "#8c1d2f"', "lab = [30, 50]", "o.toml, garment.lab: 2 entries; allowed are at least 3"),
    ('colour = "#8c1d2f"', "lab = [30, 50, nan]", "o.toml, garment.lab[3]: nan is no finite number"),
    (
        'colour = "#8c1d2f"',
        "lab = [130, 0, 0]",
        "o.toml, garment: Lab [130.0, 0.0, 0.0] is no surface colour; L* lies in 0..100",
    ),
    (
        'colour = "#8c1d2f"',
        "lab = [95, 100, 100]",
        "o.toml, garment: Lab 95, 100, 100 under D65/10 is a colour that no surface can have",
    ),
    (
        'colour = "#8c1d2f"',
        "lab = [5, -60, 60]\nlab_condition = 'D50/2'",
        "Lab 5, -60, 60 under D50/2 is a colour that no surface can have",
    ),
    (
        'colour = "#8c1d2f"',
        "lab = [50, 20, 10]\nlab_condition = 'D75/10'",
        "garment.lab_condition: 'D75/10' is unknown; did you mean 'D65/10'?",
    ),
    (
        'colour = "#8c1d2f"',
        'colour = "#8c1d2f"\nlab_condition = "D65/10"',
        "garment: lab_condition says what lab refers to, but there is no lab",
    ),
    (
        'colour = "#8c1d2f"',
        "spectrum = [0.1, 0.2]",
        "garment.spectrum: a spectrum has 36 numbers from 0 to 1, for 380 to 730 nm",
    ),
    (
        'colour = "#8c1d2f"',
        f"spectrum = [{', '.join(['1.5'] * 36)}]",
        "garment.spectrum: a spectrum has 36 numbers from 0 to 1",
    ),
    (
        'colour = "#8c1d2f"',
        f"spectrum = [{', '.join(['nan'] * 36)}]",
        "garment.spectrum: a spectrum has 36 numbers from 0 to 1",
    ),
    (
        'colour = "#8c1d2f"',
        "spectrum = 7",
        "garment.spectrum: 7 does not fit; a list of 36 numbers or the name of a file",
    ),
    (
        'colour = "#8c1d2f"',
        'spectrum = "red.csv"',
        "garment.spectrum: 'red.csv' names a file, but this text does not come from a folder",
    ),
    # inks, coverage, artwork
    ('inks = ["white"]', "inks = []", "o.toml, print[1].inks: 0 entries; allowed are at least 1"),
    (
        'inks = ["white"]',
        'inks = ["Beacn Red"]',
        "o.toml, print[1].inks: there is no ink named 'Beacn Red'; on the shelf: 'white', '#rrggbb'",
    ),
    (
        'inks = ["white"]',
        'inks = ["white", "white"]',
        "o.toml, print[1].coverage: one number cannot be shared out among 2 inks",
    ),
    ('inks = ["white"]\n', "", "o.toml, print[1].coverage: inks are missing beside a coverage that is one number"),
    (
        '{ white = 0.2, "Beacon Red" = 0.1 }',
        "{ white = 0.2 }",
        "o.toml, print[2].coverage: the table names white, but inks are white, Beacon Red",
    ),
    (
        '{ white = 0.2, "Beacon Red" = 0.1 }',
        '{ white = 0.9, "Beacon Red" = 0.8 }',
        "o.toml, print[2] (back): the inks of the back print cover 170% of its rectangle; at most 100 %",
    ),
    (
        "coverage = 0.42",
        'coverage = 0.42\nartwork = "art.png"',
        "o.toml, print[1].artwork: 'art.png' names a file, but this text does not come from a folder",
    ),
    ('place = "back"', 'place = "front"', "o.toml: two prints share a place: front, front"),
    # dates
    ("due = 2026-12-10", "due = 2026-02-30", "o.toml, line 4, column 7: this is not TOML: invalid date or datetime"),
    (
        "due = 2026-12-10",
        'due = "2026-02-30"',
        "o.toml, order.due: '2026-02-30' is no date; a date is year-month-day, for example 2026-12-10",
    ),
    ("due = 2026-12-10", 'due = "next week"', "o.toml, order.due: 'next week' is no date"),
    ("due = 2026-12-10", "due = 2026-12-10T12:00:00", "o.toml, order.due: 2026-12-10T12:00:00 has a time of day"),
    ("due = 2026-12-10", "due = 12:00:00", "o.toml, order.due: 12:00:00 does not fit"),
    (
        "due = 2026-12-10",
        "due = 20261210",
        "o.toml, order.due: 20261210 does not fit; a date such as 2026-12-10 is needed",
    ),
    (
        "due = 2026-12-10",
        "due = 1926-12-10",
        "o.toml, order.due: 1926-12-10 is not allowed; allowed is 2000-01-01 to 2100-01-01",
    ),
    (
        "due = 2026-12-10",
        "due = 2026-12-10\nplaced = 2027-01-01",
        "o.toml, order.placed: the order is due on 2026-12-10, before it was placed",
    ),
    # garments by reference
    (
        "[garment]\n",
        '[garment]\nreference = "Quayside tee"\n',
        "o.toml, garment.reference: there is no garment named 'Quayside tee'; on the shelf: 'Quayside tee black'",
    ),
    (
        "[garment]\n",
        "[garment]\nreference = 5\n",
        "o.toml, garment.reference: 5 does not fit; a text in quotes is needed",
    ),
    # TOML itself
    ("[order]", "[order", "o.toml, line 1, column 7: this is not TOML: expected ']' at the end of a table declaration"),
    (
        "quantity = 144",
        "quantity = 144\nquantity = 145",
        "o.toml, line 4, column 15: this is not TOML: cannot overwrite a value",
    ),
    ("stack_hot = true", "stack_hot = yes", "o.toml, line 33, column 13: this is not TOML: invalid value"),
    ("hours = 24 }\n", "hours = 24", "o.toml, at its end: this is not TOML"),
    (
        "quantity = 144",
        "quantity = " + "[" * 2000,
        "o.toml: the brackets of this text are nested too deeply to be read",
    ),
    (
        'name = "Harbour regatta tees"',
        'name = "a\ud800b"',
        "o.toml: character 18 of the text is no character of Unicode",
    ),
    # too long
    (
        'name = "Harbour regatta tees"',
        f'name = "{"x" * 81}"',
        "o.toml, order.name: 81 characters; allowed are at most 80",
    ),
    ('name = "Harbour regatta tees"', 'name = "  "', "o.toml: an order needs a name"),
]
