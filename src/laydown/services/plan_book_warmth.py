"""Load kernels, drawing engine and texts ahead of the first question."""

from __future__ import annotations

ORDER = "05-running-club-red-polyester"


def warm() -> None:
    """Plan a shipped order, change it and draw it, so that what is asked next is answered within a second."""
    from laydown.documents.template import demo_folder
    from laydown.services.plan_book_change import forecast_change
    from laydown.services.plan_book_view import plan_view
    from laydown.services.planning import plan_order
    from laydown.services.schemas import plan_json
    from laydown.services.shelves import open_shop, read_order
    from laydown.store.shop_exchange import shop_document

    shop = open_shop()
    order = read_order(demo_folder() / f"{ORDER}.toml", shop)
    plan, text = plan_json(plan_order(shop, order)), shop_document(shop)
    plan_view(plan, text, shop.preferences)
    forecast_change(plan, text, shop.preferences, 0, {"quantity": "100"})


def warm_drawing() -> None:
    """Start the drawing engine and read what every plan's view needs; no kernel is loaded."""
    from laydown.report.chart_style import draw, layer
    from laydown.services.plan_book_view import source_words
    from laydown.services.shelves import open_shop
    from laydown.store.shop_exchange import shop_document, shop_from_document

    point = layer("point", [{"x": 1.0}], x={"field": "x", "type": "quantitative"})
    draw({"width": 10, "height": 10, "layer": [point]}, slug="warm", title="A point", description="A point.")
    shop_from_document(shop_document(open_shop()))
    source_words("")
