"""The least a Flask application can do: what the service is measured against."""

from __future__ import annotations

from flask import Flask, Response, jsonify

app = Flask("empty", static_folder=None)


@app.get("/empty")
def empty() -> Response:
    return jsonify(status="ok")
