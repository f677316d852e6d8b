"""One good entry of every shelf, to be spoiled in one place."""

GARMENT = """[[garment]]
name = "tee"
care_label = "100% cotton"
structure = "jersey"
mass_gsm = 180
colour = "#1d1e22"
"""
INK = """[[ink]]
name = "White"
kind = "white"
fusion_c = 160
hold_s = 3
gel_c = 110
colour = "#f7f7f4"
contrast_ratio = 0.75
elongation_percent = 70
density_g_per_ml = 1.4
solids_percent = 98
price_per_kg = 11
"""
PRESS = """[[press]]
name = "Auto"
automatic = true
heads = 8
pallets = 10
flash_heads = [2, 4]
index_s = 2
stroke_mm_per_s = 500
load_s = 5
print_width_mm = 400
print_height_mm = 500
set_up_min = 9
[[press.flash]]
name = "unit"
radiant_c = 450
exchange = 0.3
air_c = 60
air_w_per_m2k = 10
"""
DRYER = """[[dryer]]
name = "Gas"
setting_c = 400
setting_low_c = 250
setting_high_c = 500
belt_width_mm = 1200
speed_low_m_per_min = 1
speed_high_m_per_min = 9
[[dryer.zone]]
length_mm = 1000
panel_c = 400
exchange = 0.2
air_c = 150
air_follow = 0.3
air_w_per_m2k = 25
belt_w_per_m2k = 12
"""
RULE = """[[rule]]
name = "no reducer"
effect = "forbid"
when = [{ fact = "reducer", above = 0 }]
reason = "it thins the blocker"
source = "common practice"
"""
GOOD = {"garments.toml": GARMENT, "inks.toml": INK, "presses.toml": PRESS, "dryers.toml": DRYER, "rules.toml": RULE}
