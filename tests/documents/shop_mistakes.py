"""Mistakes in the shop's own file and in its CSV shelves, and what the sentence says."""

SHOP_CASES = [
    ('name = "Saltmarsh Press Works"\n', "", r"shop.toml, shop.name: this key is missing: name of the shop"),
    ('temperature = "C"', 'temperature = "K"', r"shop.toml, preferences.temperature: 'K' is unknown; allowed are C, F"),
    (
        'temperature = "C"',
        'address = "http://shop/press"',
        r"shop.toml, preferences.address: 'http://shop/press' is no address; allowed is one such as http://192.168",
    ),
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
