"""`create_app`: settings, tables, routes and problems put together."""

from __future__ import annotations

import json
import logging

from flask import Flask

from bucktail_service.config import Settings, read_settings
from bucktail_service.http import (  # noqa: F401  importing them puts their routes down
    balance,
    batch,
    changes,
    cite,
    couple,
    editions,
    inspect,
    joint,
    order,
    parts,
    pick,
    probes,
    rework,
)
from bucktail_service.http.kept import KeptAnswers
from bucktail_service.http.openapi import document
from bucktail_service.http.operation import blueprint
from bucktail_service.http.problems import register
from bucktail_tables.check import check_edition
from bucktail_tables.house import installed
from bucktail_tables.load import default_name, load_edition, packaged_names

log = logging.getLogger(__name__)


def create_app(settings: Settings | None = None) -> Flask:
    """Return the service, its tables loaded and checked.

    Raises:
        BrokenEdition: An installed edition is not whole, or a folder of house tables; the first flaw is raised.
        EditionNotFound: The edition that is to answer by default is not installed.
        BadSetting: The environment has a setting that cannot be read.
    """
    settings = read_settings() if settings is None else settings
    for name in packaged_names():
        flaws = check_edition(load_edition(name))
        for flaw in flaws:
            log.critical("edition %s: %s", name, flaw)
        if flaws:
            raise flaws[0]
    installed()  # house tables are checked as they are read
    load_edition(default_name())
    app = Flask("bucktail_service", static_folder=None)
    app.config["BUCKTAIL_SETTINGS"] = settings
    app.url_map.strict_slashes = True
    app.register_blueprint(blueprint)
    register(app)
    json.dumps(document())  # a document that cannot be written must stop the start, not a request
    if settings.kept_bytes:
        app.wsgi_app = KeptAnswers(app.wsgi_app, settings.kept_bytes)  # type: ignore[method-assign]
    return app
