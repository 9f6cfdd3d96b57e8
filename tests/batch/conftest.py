"""The service in-process."""

from __future__ import annotations

import pytest
from flask.testing import FlaskClient

from bucktail_service.app import create_app
from bucktail_service.config import Settings


@pytest.fixture(scope="session")
def http() -> FlaskClient:
    return create_app(Settings()).test_client()
