"""The documentation page: the OpenAPI document, browsable, with nothing fetched from elsewhere."""

from typing import Any

from flask import Blueprint, Response, redirect, request
from flask_swagger_ui import get_swaggerui_blueprint

# The page brings its own scripts and styles, some of them inline.
POLICY = (
    "default-src 'self'; style-src 'self' 'unsafe-inline'; script-src 'self' 'unsafe-inline'; "
    "img-src 'self' data:; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)

blp: Blueprint = get_swaggerui_blueprint(
    "/docs", "/openapi.json", config={"app_name": "Baywright", "layout": "BaseLayout"}
)


beginning = Blueprint("beginning", __name__)


@beginning.get("/")
def lead_on() -> Any:
    """Who opens the bare address in a browser is led to the documentation."""
    return redirect("/docs/")


@blp.after_request
def _own_policy(response: Response) -> Response:
    if request.blueprint == blp.name:
        response.headers["Content-Security-Policy"] = POLICY
    return response
