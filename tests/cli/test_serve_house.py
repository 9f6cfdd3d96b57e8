"""House tables under a real server: SIGHUP while it is asked, broken folders at the start and at SIGHUP."""

from __future__ import annotations

import json
import signal
import subprocess
import time
from collections import Counter
from contextlib import contextmanager
from threading import Event, Thread

import pytest
import requests
from tests.cli.conftest import UNIVERSAL, end, free_port, wait_until_ready
from tests.cli.running import COMMAND, PATIENCE_S, as_process, environment
from tests.tables.housing import NAME, Shop

pytestmark = pytest.mark.filterwarnings("ignore:unclosed file:ResourceWarning")

ASKED = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.04+0.04"}


@contextmanager
def serving(shop, log, **settings):
    """A service of two workers over the shop's folder, its address and its process."""
    port = free_port()
    told = environment(BUCKTAIL_TABLES=str(shop.folder), BUCKTAIL_EDITION=NAME, **settings)
    args = ["serve", "--port", str(port), "--workers", "2", "--threads", "4"]
    with log.open("wb") as out, subprocess.Popen([*COMMAND, *args], stdout=out, stderr=out, env=told) as process:
        try:
            url = f"http://127.0.0.1:{port}"
            wait_until_ready(url, process, log)
            yield url, process
        finally:
            end(process)


def answer(url):
    reply = requests.get(f"{url}/v1/pick", params=ASKED, timeout=PATIENCE_S)
    assert reply.status_code == 200, reply.text
    return reply.json()


def until(told, met):
    deadline = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline:
        if met():
            return
        time.sleep(0.05)
    raise AssertionError(told)


def hang_up(process, log, word):
    """Send SIGHUP and wait until the log says what came of it."""
    before = log.read_text().count(word)
    process.send_signal(signal.SIGHUP)
    until(f"no {word!r} in {log.read_text()}", lambda: log.read_text().count(word) > before)


def all_answer(url, digest):
    """Return whether every worker answers out of the tables with that digest, however often asked."""
    return all(answer(url)["edition"]["sha256"] == digest for _ in range(20))


def asking(url, stop, seen, faults, *, kept_open):
    """Ask one question over and over, on one connection or on a new one each time, and keep what came."""
    session = requests.Session()
    while not stop.is_set():
        try:
            ask = session.get if kept_open else requests.get
            reply = ask(f"{url}/v1/pick", params=ASKED, timeout=PATIENCE_S)
            seen[(reply.status_code, reply.content)] += 1
        except requests.RequestException as error:
            faults.append(repr(error))
    session.close()


def test_at_sighup_new_tables_answer_and_no_request_is_dropped(tmp_path):
    shop, log = Shop(tmp_path / "shop"), tmp_path / "log"
    old = shop.load().sha256
    stop, seen, faults = Event(), Counter(), []
    with serving(shop, log) as (url, process):
        threads = [
            Thread(target=asking, args=(url, stop, seen, faults), kwargs={"kept_open": number % 2 == 0})
            for number in range(6)
        ]
        before = requests.get(f"{url}/v1/pick", params=ASKED, timeout=PATIENCE_S).content
        for thread in threads:
            thread.start()
        try:
            shop.put("spacing", 2, "times_d", "2.2")
            new = shop.load().sha256
            hang_up(process, log, new)
            until("the old tables still answer", lambda: all_answer(url, new))
            after = requests.get(f"{url}/v1/pick", params=ASKED, timeout=PATIENCE_S).content
        finally:
            stop.set()
            for thread in threads:
                thread.join()
    assert faults == []
    assert before != after
    assert old.encode() in before
    assert set(seen) == {(200, before), (200, after)}, "each answer is all old or all new"
    assert min(seen.values()) > 10
    assert "Traceback" not in log.read_text()


def test_a_batch_that_is_being_sent_at_sighup_is_answered_whole_out_of_one_edition(tmp_path):
    shop, log = Shop(tmp_path / "shop"), tmp_path / "log"
    line = json.dumps(ASKED).encode() + b"\n"
    with serving(shop, log) as (url, process):
        before = answer(url)
        shop.put("spacing", 2, "times_d", "2.2")
        new = shop.load().sha256

        def sent():
            yield line * 500
            hang_up(process, log, new)
            yield line * 500

        kind = "application/x-ndjson"
        headers = {"Content-Type": kind, "Accept": kind}
        reply = requests.post(f"{url}/v1/batch/pick", data=sent(), headers=headers, timeout=PATIENCE_S)
        until("the old tables still answer", lambda: all_answer(url, new))
    rows = [json.loads(told) for told in reply.text.splitlines()]
    assert (reply.status_code, [row["row"] for row in rows]) == (200, list(range(1, 1001)))
    assert all(row["answer"] == before for row in rows)


def test_a_broken_folder_at_sighup_leaves_the_last_good_tables_and_the_next_whole_one_is_taken(tmp_path):
    shop, log = Shop(tmp_path / "shop"), tmp_path / "log"
    good = shop.load().sha256
    with serving(shop, log) as (url, process):
        shop.put("spacing", 2, "times_d", "two")
        hang_up(process, log, "last good ones stay")
        assert "table spacing, row 2, column times_d: 'two' is not a number" in log.read_text()
        time.sleep(0.5)  # what is asked now is answered by new workers
        assert all_answer(url, good)
        shop.describe(lambda descriptor: descriptor.update(name="renamed"))
        shop.put("spacing", 2, "times_d", "2.2")
        hang_up(process, log, "last good ones stay")
        assert all_answer(url, good)
        assert process.poll() is None
        shop.describe(lambda descriptor: descriptor.update(name=NAME))
        new = shop.load().sha256
        hang_up(process, log, new)
        until("the old tables still answer", lambda: all_answer(url, new))
    assert "Traceback" not in log.read_text()


def test_a_broken_folder_at_the_start_is_told_in_one_line_and_by_the_exit_code(tmp_path):
    shop = Shop(tmp_path / "shop")
    shop.put("spacing", 2, "times_d", "two")
    ended = as_process("serve", "--port", str(free_port()), BUCKTAIL_TABLES=str(shop.folder))
    assert ended.code == 1
    (line,) = [line for line in ended.stderr.splitlines() if "cannot start" in line]
    assert line.endswith("table spacing, row 2, column times_d: 'two' is not a number")
    assert str(shop.folder) in line
    assert "Traceback" not in ended.stderr


def test_the_command_answers_out_of_house_tables_and_refuses_a_broken_folder(tmp_path):
    shop = Shop(tmp_path / "shop")
    ended = as_process("pick", *UNIVERSAL, "--edition", NAME, BUCKTAIL_TABLES=str(shop.folder))
    assert (ended.code, ended.stderr) == (0, "")
    assert f"edition {NAME}" in ended.stdout
    shop.put("spacing", 2, "times_d", "two")
    ended = as_process("pick", *UNIVERSAL, BUCKTAIL_TABLES=str(shop.folder))
    assert (ended.code, ended.stdout) == (4, "")
    assert "table spacing, row 2, column times_d: 'two' is not a number" in ended.stderr


@pytest.mark.parametrize("form", ["json", "text", "csv"])
def test_two_processes_with_copies_of_the_folder_answer_byte_for_byte_alike(tmp_path, form):
    told = [
        as_process(
            "pick", *UNIVERSAL, "--edition", NAME, "--format", form, "--why",
            BUCKTAIL_TABLES=str(Shop(tmp_path / name).folder), PYTHONHASHSEED=seed,
        )
        for name, seed in (("one", "1"), ("two", "2"))
    ]  # fmt: skip
    assert told[0] == told[1]
    assert told[0].code == 0
