"""The application for a server: `gunicorn bucktail_service.wsgi:app`."""

from bucktail_service.app import create_app

app = create_app()
