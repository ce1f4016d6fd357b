"""Every table; each lies in `layout/`. What is issued is only ever added to: the migrations see to it."""

from service.store.layout.acceptances import acceptances
from service.store.layout.certificates import certificates, files, links, supersessions, withdrawals
from service.store.layout.columns import metadata
from service.store.layout.events import deliveries, events, subscriptions
from service.store.layout.firm import (
    build_ups,
    crews,
    firms,
    keys,
    lances,
    materials,
    practices,
    price_lists,
    series,
)
from service.store.layout.jobs import assigned_days, assignments, jobs
from service.store.layout.keeping import anchors, answers, imports, journal, seals
from service.store.layout.quotes import clients, quote_cavities, quote_options, quotes, search_terms
from service.store.layout.site import concessions, entries, photos
from service.store.layout.stock import stock_lots, stock_materials
from service.store.layout.supplements import supplement_cavities, supplement_steps, supplements
from service.store.layout.tasks import spent, tasks

__all__ = [
    "acceptances",
    "anchors",
    "answers",
    "assigned_days",
    "assignments",
    "build_ups",
    "certificates",
    "clients",
    "concessions",
    "crews",
    "deliveries",
    "entries",
    "events",
    "files",
    "firms",
    "imports",
    "jobs",
    "journal",
    "keys",
    "lances",
    "links",
    "materials",
    "metadata",
    "photos",
    "practices",
    "price_lists",
    "quote_cavities",
    "quote_options",
    "quotes",
    "seals",
    "search_terms",
    "series",
    "spent",
    "stock_lots",
    "stock_materials",
    "subscriptions",
    "supersessions",
    "supplement_cavities",
    "supplement_steps",
    "supplements",
    "tasks",
    "withdrawals",
]
