"""A released edition never changes: one byte of it, and a test names the table, the line and the row's key."""

from __future__ import annotations

import shutil

import pytest
from tests.tables.released import HEADER, differences, kept, released

from bucktail_tables.load import HERE

NAMES = list(released())
KEPT = kept()
TABLES = [name for name in KEPT["2026.1"]["files"] if name.endswith(".csv")]


@pytest.mark.parametrize("name", NAMES)
def test_a_released_edition_is_as_it_was_released(name):
    assert name in KEPT, f"{name} was released: python -m tests.tables.released keeps it"
    assert differences(KEPT[name]["files"], HERE / name) == []
    assert released()[name] == KEPT[name]["sha256"], f"editions.json has another digest for {name}"


def test_what_was_released_stays_released():
    assert set(KEPT) <= set(NAMES)
    assert {"2026.1"} <= set(KEPT)


@pytest.fixture(scope="module")
def copied(tmp_path_factory):
    folder = tmp_path_factory.mktemp("released") / "2026.1"
    shutil.copytree(HERE / "2026.1", folder)
    return folder


def spoil(path, line):
    """Change one byte in the middle of a line, and return the whole as it was."""
    whole = path.read_bytes()
    lines = whole.splitlines(keepends=True)
    middle = bytearray(lines[line - 1])
    middle[len(middle) // 2] ^= 1
    assert middle.count(b"\n") == lines[line - 1].count(b"\n")
    path.write_bytes(b"".join([*lines[: line - 1], bytes(middle), *lines[line:]]))
    return whole


@pytest.mark.parametrize("table", TABLES)
def test_one_changed_byte_is_named_by_table_line_and_key(copied, table):
    files = KEPT["2026.1"]["files"]
    lines = files[table]["lines"]
    for line in sorted({1, 2, len(lines) // 2 + 1, len(lines)}):
        whole = spoil(copied / table, line)
        key = lines[line - 1].partition(" ")[2]
        assert differences(files, copied) == [f"{table} line {line}: row {key} changed"]
        (copied / table).write_bytes(whole)
    assert lines[0].endswith(HEADER)
    assert differences(files, copied) == []


@pytest.mark.parametrize("file", ["datapackage.json", "CHANGES.md"])
def test_a_changed_byte_of_the_descriptor_or_the_changes_is_named(copied, file):
    whole = spoil(copied / file, 3)
    assert differences(KEPT["2026.1"]["files"], copied) == [f"{file} line 3: row (no key) changed"]
    (copied / file).write_bytes(whole)


def test_rows_and_files_added_and_taken_away_are_named(copied):
    files = KEPT["2026.1"]["files"]
    table = copied / "holes.csv"
    whole = table.read_bytes()
    lines = whole.splitlines(keepends=True)
    table.write_bytes(b"".join([*lines[:5], *lines[6:]]))
    assert differences(files, copied) == [
        f"holes.csv line 6: row {files['holes.csv']['lines'][5].partition(' ')[2]} is gone"
    ]
    table.write_bytes(whole + lines[3])
    key = files["holes.csv"]["lines"][3].partition(" ")[2]
    assert differences(files, copied) == [f"holes.csv line {len(lines) + 1}: row {key} was added"]
    table.unlink()
    (copied / "new.csv").write_bytes(b"a\n")
    assert differences(files, copied) == ["holes.csv: the file is gone", "new.csv: the file was not released"]
    (copied / "new.csv").unlink()
    table.write_bytes(whole)
