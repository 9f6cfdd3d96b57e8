"""The service in-process."""

from __future__ import annotations

import pytest
from flask import Flask
from flask.testing import FlaskClient

from bucktail_service.app import create_app
from bucktail_service.config import Settings


@pytest.fixture(scope="session")
def app() -> Flask:
    return create_app(Settings())


@pytest.fixture
def http(app: Flask) -> FlaskClient:
    return app.test_client()
