"""The report of an edition: how many rows of each table are known how well, and which rows a relation leaves aside."""

from __future__ import annotations

import csv
import io
import subprocess
import sys
from collections import Counter

import pytest
from tests.tables.spoiling import Copy

from bucktail_tables import checks_truth
from bucktail_tables.check import CHECKS, main
from bucktail_tables.load import BASES, HERE, edition_names, load_edition
from bucktail_tables.report import report

NAMES = edition_names()


def printed(text, first):
    """Return the numbers of the line that begins with a word."""
    (line,) = [line for line in text.splitlines() if line.startswith(f"{first} ")]
    return [int(word) for word in line.split()[1:] if word.isdigit()]


@pytest.mark.parametrize("name", NAMES)
def test_every_table_is_there_with_its_rows_documents_and_bases_as_the_files_have_them(name):
    text = report(load_edition(name), CHECKS)
    for path in sorted((HERE / name).glob("*.csv")):
        rows = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"), newline="")))
        bases = Counter(row["basis"] for row in rows)
        rows_told, documents, *of_bases, relations = printed(text, path.stem)
        assert (rows_told, documents) == (len(rows), len({row["document"] for row in rows}))
        assert of_bases == [bases[basis] for basis in BASES]
        assert 0 <= relations <= len(CHECKS)


@pytest.mark.parametrize("name", NAMES)
def test_the_totals_are_those_of_the_tables(name):
    text = report(load_edition(name), CHECKS)
    tables = [path.stem for path in (HERE / name).glob("*.csv")]
    (total,) = [line.split() for line in text.splitlines() if line.startswith(f"{len(tables)} tables ")]
    columns = list(zip(*(printed(text, table) for table in tables), strict=True))
    assert int(total[2]) == sum(columns[0])
    assert [int(word) for word in total[4:]] == [sum(column) for column in columns[2:-1]]
    assert int(total[3]) <= sum(columns[1])  # one document stands in several tables
    assert f"{len(CHECKS)} of {len(CHECKS)} relations hold" in text


@pytest.mark.parametrize("name", NAMES)
def test_it_is_plain_text_of_80_columns(name):
    text = report(load_edition(name), CHECKS)
    assert text.isascii()
    assert max(map(len, text.splitlines())) <= 80
    assert not [line for line in text.splitlines() if line != line.rstrip()]


def test_relations_are_counted_at_the_tables_they_read():
    edition = load_edition()
    alone = report(edition, [checks_truth.other_names_are_of_one_number])
    assert printed(alone, "aliases")[-1] == 1
    assert printed(alone, "drills")[-1] == 0
    pair = report(edition, [checks_truth.blind_and_solid_heads_need_one_sheet])
    assert [printed(pair, table)[-1] for table in ("grip_heads", "countersinks", "grip_holes")] == [1, 1, 0]


def test_a_relation_that_does_not_hold_is_named_and_not_counted(tmp_path):
    copy = Copy(tmp_path)
    copy.put("aliases", copy.find("aliases", "AN470"), "standard", "MS20426")
    text = report(copy.load(), [checks_truth.other_names_are_of_one_number])
    assert "does not hold: other_names_are_of_one_number" in text
    assert "0 of 1 relations hold" in text
    assert printed(text, "aliases")[-1] == 0


def test_rows_left_aside_are_told_with_their_document_and_basis():
    text = " ".join(report(load_edition(), CHECKS).split())
    for entry in checks_truth.EXCEPTIONS:
        row = load_edition()[entry.table].find(*entry.key)
        assert (
            f"{entry.table} {' '.join(entry.key)} {entry.column} {entry.printed}: {entry.why}. {row.document}" in text
        )
    # TM 10-5410-223-24 Table 2-3: the #11 drill, .191, and hole limits from .192
    assert "grip_holes break-stem 3/16 drill 0.191: under its least hole, 0.192. US Army TM 10-5410-223-24" in text
    assert "bolt_grips AN3 3 grip 0.063, length 0.469: the shortest dash keeps to no ladder" in text
    # two cells of MIL-STD-889C as transcribed
    assert text.count("milder in sea water than in air") == 2
    assert "thin_sheet_factors single 3/8 0.1 factor 0.972: the formula gives 0.970" in text


@pytest.mark.parametrize("name", NAMES)
def test_the_command_prints_it_and_exits_0(name):
    run = subprocess.run(
        [sys.executable, "-m", "bucktail_tables.check", name, "--report"],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert (run.returncode, run.stderr) == (0, "")
    assert run.stdout == report(load_edition(name), CHECKS)


def test_the_command_exits_1_for_flaws_and_reports_all_the_same(tmp_path, monkeypatch, capsys):
    copy = Copy(tmp_path)
    copy.put("aliases", copy.find("aliases", "AN470"), "standard", "MS20426")
    monkeypatch.setattr("bucktail_tables.check.load_edition", lambda _: copy.load())
    assert main(["--report"]) == 1
    told = capsys.readouterr()
    assert "table aliases" in told.err
    assert "does not hold: other_names_are_of_one_number" in told.out
