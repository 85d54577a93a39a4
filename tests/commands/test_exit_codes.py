"""One rule of exit codes: what is not clear, not known or not looked at never ends with 0.

Truth: the rule; each case is not clear, not known or not looked at by what the command itself says.
"""

from dataclasses import replace

import pytest

import slingwright as sw
from slingwright.commands.line import main

FORD, GARDEN = (str(sw.data_folder() / f"{name}.toml") for name in ("otter_ford", "garden"))
LONG = "long:sling.length=5 m"
SMALL = ["--set", "counterweight.mass=160 kg"]
HEAVY = "heavy:counterweight.mass=760 kg"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["throw", FORD, "--set", "site.limit=90 m"], "past the end of the clear ground"),
        (["throw", FORD, "--set", "release.angle=100 deg"], "behind"),
        (["throw", FORD, "--set", "counterweight.mass=60 kg"], "Never left the trough"),
        (["sweep", FORD, "--no-loads", "--vary", "counterweight.mass=640,30"], "1 released"),
        (["sweep", FORD, "--no-loads", "--vary", "site.limit=90,300"], "2 released"),
        (["sweep", FORD, "--no-loads", "--vary", "release.angle=20,100"], "2 released"),
        (["winch", FORD], "not known"),
        (["winch", GARDEN, "--set", "place.winders_z=0 m"], "fails      place of who winds"),
        (["zone", FORD], "not known"),
        (["zone", GARDEN, "--set", "place.public_x=1 m", "--set", "place.public_z=0 m"], "inside"),
        (["zone", FORD, *SMALL], "Not looked at, so not known"),
        (["check", GARDEN, "--no-clearance"], "Fails as planned"),
        (["prove", GARDEN], "0 of 5 steps"),
        (["whatif", FORD, "--change", HEAVY], "fail"),
        (["search", GARDEN, "--vary", "release.angle=20 deg..40 deg"], "Set so: "),
        (["next", FORD, "--vary", "release.angle=15 deg..30 deg"], "Set so: "),
        (["plan", FORD, "--change", LONG, "--worth", "range=1", "--seconds", "2"], "long"),
    ],
    ids=lambda value: " ".join(value[:1] + value[2:]) if isinstance(value, list) else "",
)
def test_what_is_not_known_to_hold_ends_with_1(capsys, arguments, says) -> None:
    """Truth: the rule, and words that say why."""
    code = main(arguments)
    told = capsys.readouterr()
    assert says in (told.out + told.err).replace("\n", " ")
    assert code == 1


def test_a_machine_that_does_not_move_has_no_slope(capsys, tmp_path) -> None:
    """Truth: 60 kg never leave the trough: no range, no slope of it."""
    machine = sw.read_machine(FORD).change({"counterweight.mass": "60 kg"})
    file = tmp_path / "light.toml"
    sw.write_machine(machine, file)
    assert main(["sensitivity", str(file), "sling.length"]) == 1
    assert main(["sensitivity", FORD, "sling.length"]) == 0


def test_a_video_that_was_not_looked_at_is_not_passed_over(capsys, tmp_path, monkeypatch) -> None:
    """Truth: the same log, with and without a video that could not be read."""
    from demo import demo_log

    from slingwright.pages.log import records

    demo_log(tmp_path / "ford.slog").close()
    asked = ["fit", FORD, str(tmp_path / "ford.slog")]
    code, story_of = main(asked), records.story_of
    monkeypatch.setattr(
        records, "story_of", lambda *of: replace(story_of(*of), unread=("shot 3: its video",))
    )
    assert (code, main(asked)) == (0, 1)
    assert "shot 3: its video" in capsys.readouterr().out
