"""The documentation page: the OpenAPI document, browsable, with nothing fetched from elsewhere."""

from flask import Blueprint, Response, request
from flask_swagger_ui import get_swaggerui_blueprint

# The page brings its own scripts and styles, some of them inline.
POLICY = (
    "default-src 'self'; style-src 'self' 'unsafe-inline'; script-src 'self' 'unsafe-inline'; "
    "img-src 'self' data:; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)

blp: Blueprint = get_swaggerui_blueprint(
    "/docs", "/openapi.json", config={"app_name": "Baywright", "layout": "BaseLayout"}
)


@blp.after_request
def _own_policy(response: Response) -> Response:
    if request.blueprint == blp.name:
        response.headers["Content-Security-Policy"] = POLICY
    return response
