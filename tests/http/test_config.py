"""Settings are read strictly from the environment."""

from __future__ import annotations

import pytest

from bucktail_service.app import create_app
from bucktail_service.config import BadSetting, Settings, read_settings
from bucktail_service.http.kept import KeptAnswers


def test_an_empty_environment_gives_the_defaults():
    assert read_settings({}) == Settings()


def test_each_setting_is_read_by_its_name():
    given = {"BUCKTAIL_MAX_BODY": "1000", "BUCKTAIL_MAX_BATCH_BODY": "2000", "BUCKTAIL_KEPT_BYTES": "0"}
    assert read_settings(given) == Settings(max_body=1000, max_batch_body=2000, kept_bytes=0)


def test_what_belongs_to_others_is_left_alone():
    assert read_settings({"BUCKTAIL_URL": "http://desk.example", "PATH": "/bin", "MAX_BODY": "x"}) == Settings()


@pytest.mark.parametrize("text", ["", " ", "1 000", "1,000", "64k", "-1", "+1", "1.5", "1e6", "0x10", "\u0661", "none"])
def test_what_is_no_whole_number_of_bytes_stops_the_start_and_is_named(text):
    with pytest.raises(BadSetting, match=r"BUCKTAIL_MAX_BODY is .*such as 65536"):
        read_settings({"BUCKTAIL_MAX_BODY": text})


def test_a_number_of_five_thousand_digits_is_a_bad_setting():
    try:
        read_settings({"BUCKTAIL_MAX_BODY": "9" * 5000})
    except BadSetting:
        return


def test_the_process_environment_is_read_when_none_is_given(monkeypatch):
    monkeypatch.setenv("BUCKTAIL_MAX_BODY", "123")
    assert read_settings().max_body == 123
    assert create_app().config["BUCKTAIL_SETTINGS"].max_body == 123
    monkeypatch.setenv("BUCKTAIL_MAX_BODY", "many")
    with pytest.raises(BadSetting):
        create_app()


def test_settings_do_not_change():
    with pytest.raises(AttributeError):
        Settings().max_body = 1


def test_no_room_for_answers_puts_nothing_before_the_framework():
    assert not isinstance(create_app(Settings(kept_bytes=0)).wsgi_app, KeptAnswers)
    assert isinstance(create_app(Settings(kept_bytes=1)).wsgi_app, KeptAnswers)
