"""The application: the only place where the parts are joined."""

from flask import Flask
from flask_smorest.blueprint import Blueprint

from service.api import (
    anchors,
    answering,
    auth,
    build_ups,
    certificates,
    clients,
    concessions,
    conditional,
    crew_page,
    crews,
    docs,
    estimates,
    events,
    exports,
    health,
    jobs,
    keys,
    lances,
    limits,
    materials,
    metrics,
    openapi,
    photos,
    practice,
    price_lists,
    problems,
    quotes,
    record_schema,
    requests,
    spoken,
    stock,
    subscriptions,
    summaries,
    supplements,
    surveys,
    takeoffs,
    unread,
    verification,
)
from service.settings import Settings
from service.store import objects
from service.store.session import open_database

BLUEPRINTS: tuple[Blueprint, ...] = (
    takeoffs.blp,
    estimates.blp,
    quotes.blp,
    surveys.blp,
    exports.blp,
    jobs.blp,
    crews.blp,
    photos.blp,
    concessions.blp,
    supplements.blp,
    certificates.blp,
    materials.blp,
    build_ups.blp,
    price_lists.blp,
    lances.blp,
    practice.blp,
    anchors.blp,
    keys.blp,
    stock.blp,
    summaries.blp,
    events.blp,
    subscriptions.blp,
    verification.blp,
    record_schema.blp,
    clients.blp,
    health.blp,
    metrics.blp,
)


def create_app(settings: Settings) -> Flask:
    """The service, ready to answer."""
    app = requests.Service("service", static_folder=None)
    # An address with a slash too many is another address, not one to be led away from.
    app.url_map.merge_slashes = False
    app.config["MAX_CONTENT_LENGTH"] = settings.body_limit_bytes
    app.config.update(openapi.CONFIG)
    app.json = answering.Json(app)
    app.extensions["settings"] = settings
    app.extensions["database"] = open_database(settings.database_url, objects=objects.opened(settings))
    requests.register(app, settings.log_level)
    auth.register(app)
    limits.register(app, settings)
    app.before_request(requests.refuse_unprintable)
    metrics.register(app)
    unread.register(app)
    api = openapi.Api(app)
    for blueprint in BLUEPRINTS:
        api.register_blueprint(blueprint)
    app.register_blueprint(docs.blp)
    app.register_blueprint(crew_page.blp)
    problems.register(app)
    spoken.register(app)
    app.after_request(conditional.unchanged)
    return app
