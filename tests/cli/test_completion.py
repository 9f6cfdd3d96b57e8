"""What a shell offers after each option."""

from __future__ import annotations

import pytest
from tests.cli.running import as_process

from bucktail.embedded import known


def completed(line: str) -> list[str]:
    """Return what the shell is offered for the last word of a line."""
    ended = as_process(_BUCKTAIL_COMPLETE="complete_bash", COMP_WORDS=line, COMP_CWORD=str(line.count(" ")))
    assert ended.stderr == ""
    return ended.stdout.split("\n")


# names the trade knows, so that they must be there whatever else is
@pytest.mark.parametrize(
    ("line", "offered", "not_offered"),
    [
        ("bucktail pick --alloy ", "AD", "MS20470"),
        ("bucktail pick --head un", "universal", "flush-100"),
        ("bucktail pick --head MS204", "MS20470", "universal"),
        ("bucktail pick --practice m", "military", "civil"),
        ("bucktail pick --edition ", "2026.1", "AD"),
        ("bucktail pick -d 5", "5/32", "1/8"),
        ("bucktail pick --st", "--stack-tolerance", "--head"),
        ("bucktail ", "pick", "--alloy"),
        ("bucktail editions ", "find", "pick"),
        ("bucktail editions row ho", "holes", "shear"),
    ],
)
def test_the_shell_is_offered_the_names_of_the_tables(line, offered, not_offered):
    names = completed(line)
    assert offered in names
    assert not_offered not in names


@pytest.mark.parametrize(
    ("kind", "names"),
    [
        ("alloy", {"A", "AD", "B", "D", "DD"}),
        ("head", {"universal", "flush-100", "MS20470", "MS20426"}),
        ("drill", {"#30", "#40", "#21", "#F"}),
        ("diameter", {"3/32", "1/8", "5/32", "3/16"}),
        ("practice", {"civil", "military"}),
        ("edition", {"2026.1"}),
    ],
)
def test_every_kind_of_name_is_known_once(kind, names):
    found = known(kind)
    assert names <= set(found)
    assert len(found) == len(set(found))


@pytest.mark.parametrize("kind", ["alloy", "head", "drill", "diameter", "practice", "edition"])
def test_every_name_offered_is_taken(run, kind):
    fields = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.08"}
    option = "hole" if kind == "drill" else kind
    for name in known(kind):
        args = [word for field, text in {**fields, option: name}.items() for word in (f"--{field}", text)]
        result = run("pick", *args)
        assert result.exit_code in (0, 1), f"{name}: {result.stderr}"
