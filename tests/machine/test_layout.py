"""The look of a machine file. Truths: texts written out by hand; tomllib for what they mean."""

import dataclasses
import tomllib

from slingwright.machine.file import machine_text, parse_machine
from slingwright.machine.machine import BriefLoad, build

SETTINGS = {
    "arm.long": "5 m",
    "arm.short": "1 m",
    "axle.height": "3 m",
    "counterweight.mass": "1 t",
    "sling.length": "4 m",
    "projectile.mass": "5 kg",
    "winch.parts": 3.0,
    "trough.friction": 0.25,
    "counterweight.hung": False,
    "arm.timber": "C24",
    "release.angle": "35 deg",
}


def test_fresh_file_has_the_order_of_the_table_and_its_help() -> None:
    """Truth: groups in the order of the table, each value in its dial's unit."""
    text = machine_text(build(SETTINGS, name="fresh"))
    tree = tomllib.loads(text)
    assert list(tree) == [
        "name",
        "arm",
        "counterweight",
        "sling",
        "release",
        "projectile",
        "trough",
        "axle",
        "winch",
    ]
    assert tree["counterweight"] == {"mass": "1000 kg", "hung": False}
    assert tree["winch"]["parts"] == 3 and tree["trough"]["friction"] == 0.25
    assert tree["release"]["angle"] == "35 deg" and tree["arm"]["timber"] == "C24"
    assert 'length = "4 m" # Seat of the ring to the centre of the projectile.' in text


def test_changed_name_of_a_material_and_percent_are_kept_in_kind() -> None:
    """Truth: the old text with the two values changed."""
    old = machine_text(build(SETTINGS)).replace("friction = 0.25", 'friction = "25 %"')
    m = parse_machine(old).change({"arm.timber": "D40", "trough.friction": 0.5})
    assert machine_text(m, like=old) == old.replace("C24", "D40").replace("25 %", "50 %")


def test_brief_is_written_anew_when_it_changed() -> None:
    """Truth: round trip; unchanged, the old text stays."""
    loads = (BriefLoad(name="a", mass=4.0, diameter=0.2, drag=0.5),)
    m = build(SETTINGS, brief=loads)
    text = machine_text(m)
    more = dataclasses.replace(m, brief=(*loads, BriefLoad(name="b", mass=1.0, diameter=0.1)))
    written = tomllib.loads(machine_text(more, like=text))["brief"]
    assert written == [
        {"name": "a", "mass": "4 kg", "diameter": "0.2 m", "drag": 0.5},
        {"name": "b", "mass": "1 kg", "diameter": "0.1 m"},
    ]
    assert machine_text(m, like=text) == text
