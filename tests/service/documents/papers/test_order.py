"""The order list names each material with what to order of it."""

from service.documents.papers.order import pdf
from tests.service.documents import facts
from tests.service.documents.reading import text_of

LINE = {"material": "CF-STD", "planned_bags": 60, "delivered_bags": 5.0, "there_bags": 3.0, "order_bags": 52}


def test_it_names_material_jobs_and_bags() -> None:
    head = {name: facts.quote()[name] for name in ("firm", "market", "language")}
    orders = {"jobs": ["J-2026-0001"], "items_": [LINE]}
    text = text_of(pdf({**head, "made_at": "2026-11-25T08:00:00+00:00", "orders": orders}))
    for words in ("Order list", "CF-STD", "52", "J-2026-0001", "25 November 2026"):
        assert words in text
