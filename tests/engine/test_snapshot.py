"""A released edition answers the same, byte for byte, whatever edition is the default and whatever came after it."""

from __future__ import annotations

import json
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
from tests.engine.snapshots import EDITION, SEED, answer_bytes, choose, digest, kept, later_file

from bucktail_service.answering import QUESTIONS
from bucktail_tables.load import edition_names, load_edition

KEPT = kept()


def test_every_answer_kept_is_given_again_byte_for_byte():
    moved = [
        f"{entry['question']} {json.dumps(entry['asked'])}"
        for entry in KEPT
        if digest(entry["question"], entry["asked"]) != entry["sha256"]
    ]
    assert not moved, f"{len(moved)} of {len(KEPT)} answers of {EDITION} are others now:\n" + "\n".join(moved[:20])


@pytest.mark.parametrize("edition", [name for name in edition_names() if name != EDITION])
def test_a_later_released_edition_is_held_to_its_answers_too(edition):
    # `python -c "from tests.engine.snapshots import write_later; write_later('NAME')"` when it is released
    if load_edition(edition).is_draft:
        pytest.skip("a draft may still change")
    digests = json.loads(later_file(edition).read_text(encoding="utf-8"))["sha256"]
    assert len(digests) == len(KEPT)
    moved = [
        entry["asked"]
        for entry, known in zip(KEPT, digests, strict=True)
        if digest(entry["question"], entry["asked"], edition) != known
    ]
    assert not moved, f"{len(moved)} answers of {edition} are others now: {moved[:5]}"


def test_the_questions_are_those_the_seed_draws():
    # parts are left aside: their numbers were answers themselves
    drawn = [asked for name, asked in choose() if name != "part"]
    assert drawn == [entry["asked"] for entry in KEPT if entry["question"] != "part"]
    assert SEED == 20261


def test_the_questions_are_spread_over_all_that_is_asked():
    assert len(KEPT) > 400
    count = Counter(entry["question"] for entry in KEPT)
    assert set(count) == {*QUESTIONS, "part"}
    assert min(count.values()) >= 6
    edition = load_edition(EDITION)
    picks = [entry["asked"] for entry in KEPT if entry["question"] == "pick"]
    heads = {asked["head"] for asked in picks}
    assert {row.text("standard") for row in edition["standards"] if not row.flag("repair_only")} <= heads
    assert {row.text("standard") for row in edition["grip_standards"] if not row.text("missing")} <= heads
    assert {asked["practice"] for asked in picks} == {"civil", "military"}
    assert {asked.get("family", "solid") for asked in picks} == {"solid", "blind", "bolt", "pin"}


def test_nearly_all_of_them_are_answers_not_refusals():
    refused = [
        entry for entry in KEPT if b'"type":"urn:' in answer_bytes(entry["question"], entry["asked"], EDITION)[:40]
    ]
    assert 0 < len(refused) < len(KEPT) / 10


OTHERS = [name for name in edition_names() if name != EDITION]
# a process in which another edition is the default from the beginning
AS_DEFAULT = """
import sys
from bucktail_tables import load
index = load._index() | {"default": sys.argv[1]}
load._index = lambda: index
from tests.engine.snapshots import digest, kept
assert load.load_edition().name == load.default_name() == sys.argv[1]
print(sum(digest(entry["question"], entry["asked"]) != entry["sha256"] for entry in kept()), "moved")
"""


@pytest.mark.parametrize("other", OTHERS)
def test_every_answer_is_the_same_when_another_edition_is_the_default(other):
    run = subprocess.run(
        [sys.executable, "-c", AS_DEFAULT, other],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert (run.returncode, run.stdout, run.stderr) == (0, "0 moved\n", "")


@pytest.mark.parametrize("other", OTHERS)
def test_the_digest_tells_another_edition_from_this_one(other):
    # every answer names its edition: a question answered by another one is never taken for the same
    for entry in KEPT[:20]:
        assert digest(entry["question"], entry["asked"], other) != entry["sha256"]
