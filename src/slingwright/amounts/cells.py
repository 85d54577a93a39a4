"""Cells of comma-separated values: a number stays a number, and text is never a formula."""

import re

_AFTER_SEPARATOR = re.compile(r"([;\t][ \u00a0]*)([=+\-@\uff1d\uff0b\uff0d\uff20])")
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def for_csv(cell: object) -> str:
    """Return one cell of a table; text that a spreadsheet would compute is set off by a quote mark.

    Arguments:
        cell: text, number, true/false, or None for an empty cell. A number stays a number, also
            one below zero.

    Source: OWASP, "CSV Injection", https://owasp.org/www-community/attacks/CSV_Injection

    >>> for_csv("=1+1"), for_csv(-2.5), for_csv(None)
    ("'=1+1", '-2.5', '')
    >>> for_csv("fine;=1+1")
    "fine;'=1+1"
    """
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, float):
        return repr(float(cell))
    if isinstance(cell, int):
        return repr(int(cell))
    text = _AFTER_SEPARATOR.sub(r"\1'\2", str(cell).replace("\x00", ""))
    if text.lstrip(" \u00a0\ufeff").startswith(_FORMULA_STARTS):
        return f"'{text}"
    return text
