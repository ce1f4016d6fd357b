"""Is the service alive, and can it do its work."""

from typing import Any

from flask import current_app

from service.api.blueprint import Blueprint, public
from service.api.problems import problem
from service.usecases.base.json import to_json
from service.usecases.keeping import health

blp = Blueprint("health", __name__, description="For whoever runs the service.")

STATUS = {
    "200": {
        "description": "All is well",
        "content": {"application/json": {"schema": {"type": "object", "required": ["status"]}}},
    }
}


@blp.route("/healthz")
@blp.doc(responses=STATUS)
@public
def alive() -> Any:
    """The process answers."""
    return {"status": "alive"}


@blp.route("/readyz")
@blp.doc(responses={**STATUS, "503": {"$ref": "#/components/responses/SERVICE_UNAVAILABLE"}})
@public
def ready() -> Any:
    """The database answers, and its schema is the one this version was made for.

    While documents and photos lie in an object store that is away it is `ready` all the same, and says so:
    whoever takes a server out for it would take out all, and quotes and entries with them.
    """
    database = current_app.extensions["database"]
    if fault := health.not_ready_because(database):
        return problem(503, fault)
    away = health.without_contents_because(database)
    return {"status": "ready", **({"without": to_json(away)} if away else {})}
