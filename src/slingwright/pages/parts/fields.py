"""Fields of a form: made all alike, and read as numbers in the units that are shown."""

from __future__ import annotations

from typing import Any

import ipywidgets

from slingwright.amounts import units

BY_HAND = "N by hand"


class FieldError(ValueError):
    """What is wrong with one field of a form."""

    def __init__(self, field: ipywidgets.Widget, words: str) -> None:
        super().__init__(words)
        self.field = field


class Fields:
    """Makes the fields of a form, all as wide, each with a layout of its own.

    `width` is that of a field with its words, `words` that of the words, `look` more of the layout.
    """

    def __init__(self, width: str = "auto", words: str = "", **look: str) -> None:
        self.look = {"width": width, **look}
        self.style = {"description_width": words} if words else {}

    def made(self, kind: Any, words: str = "", *, width: str = "", **more: Any) -> Any:
        """Make any kind of field; `more` is what the kind takes."""
        look = {**self.look, "width": width or self.look["width"]}
        layout = ipywidgets.Layout(**look)
        return kind(description=words, layout=layout, style=self.style, **more)

    def text(self, words: str = "", hint: str = "", value: str = "", **more: Any) -> Any:
        """Make a field to type in."""
        return self.made(ipywidgets.Text, words, placeholder=hint, value=value, **more)

    def choice(self, words: str, options: Any, value: Any = None, **more: Any) -> Any:
        """Make a field to choose in; the first of the options if none is named."""
        chosen = {} if value is None else {"value": value}
        return self.made(ipywidgets.Dropdown, words, options=options, **chosen, **more)

    def tick(self, words: str, **more: Any) -> Any:
        """Make a field to tick."""
        return self.made(ipywidgets.Checkbox, words, indent=False, **{"value": False, **more})


FIT = Fields()  # makes fields that are as wide as what is in them


def shown_unit(unit: str, system: units.System) -> tuple[float, str]:
    """Give the unit that a bare number in a field has: its size in SI, and its name.

    `N by hand` is a force that a person makes: in newtons, not in thousands of them.

    >>> shown_unit("N", "metric"), shown_unit("N by hand", "metric")
    ((1000.0, 'kN'), (1.0, 'N'))
    """
    if unit == BY_HAND:
        return (1.0, "N") if system == "metric" else units.factor("N", system)
    return units.factor(unit, system)


def amount(control: ipywidgets.Text, unit: str, system: units.System) -> float | None:
    """Read a number off a text field; see `typed_amount`."""
    name = (control.description or control.tooltip or "").split(" [")[0]
    try:
        return typed_amount(control.value, name, unit, system)
    except ValueError as error:
        raise FieldError(control, str(error)) from None


def typed_amount(text: str, name: str, unit: str, system: units.System) -> float | None:
    """Read a number that was typed into a field, in SI; None where the field is empty.

    Args:
        text: what was typed; a bare number is in the unit that `system` shows, another unit may
            stand behind it.
        name: of the field.
        unit: SI unit, or `N by hand`.
        system: metric or US.

    Raises:
        ValueError: it is no such number; the words name the field.
    """
    text = text.strip()
    if not text:
        return None
    one, label = shown_unit(unit, system)
    try:
        number = units.number_or_none(text)
        if number is not None:
            return number * one
        return units.quantity(text, "N" if unit == BY_HAND else unit)
    except units.UnitError as error:
        if "," in text:
            raise ValueError(f"{name}: {text[:40]!r}: {error}") from error
        how = f"write it as 101.5, in {label}"
        raise ValueError(f"{name}: {text[:40]!r} is not a number; {how}") from None


def refilled(value: float | None, unit: str, system: units.System) -> str:
    """Write a value into a field so that `typed_amount` reads it again, to six figures."""
    return "" if value is None else f"{value / shown_unit(unit, system)[0]:.6g}"


def labelled(words: str, unit: str, system: units.System) -> str:
    """Write a field's name with the unit that a bare number in it has.

    >>> labelled("Range", "m", "US")
    'Range [ft]'
    """
    return f"{words} [{shown_unit(unit, system)[1]}]"
