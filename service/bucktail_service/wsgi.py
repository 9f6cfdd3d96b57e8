"""The application for a server: `gunicorn bucktail_service.wsgi:app`."""

from bucktail_service.app import create_app
from bucktail_service.config import BadSetting
from bucktail_tables.errors import TablesError

try:
    app = create_app()
except (TablesError, BadSetting) as error:
    # one line that says where to look, and an exit code that tells a supervisor; a traceback says neither
    raise SystemExit(f"bucktail cannot start: {error}") from None
