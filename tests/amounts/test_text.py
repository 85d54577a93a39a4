"""Words with amounts, and answers that tell themselves.

Truth: the definitions of foot and pound-force (NIST SP 811), JSON's own numbers (RFC 8259), and
CSV read back by the standard library.
"""

import copy
import csv
import json
import pickle
from collections.abc import Iterable
from dataclasses import dataclass

import pytest

from slingwright.amounts.answer import LONGEST_REPR, Answer, Row, Table, plain
from slingwright.amounts.text import Amount, Text, joined, text, told


@dataclass(frozen=True, slots=True, repr=False)
class Pull(Answer):
    """A made-up answer with an amount, words and nothing."""

    force: float

    @property
    def sentence(self) -> Text:
        """The answer in a sentence."""
        return text("The rope pulls with ", Amount(self.force, "N"), ".")

    def rows(self) -> Iterable[Row]:
        """Give an amount, words and nothing."""
        yield Row("force", "Force", Amount(self.force, "N"), text("over ", Amount(0.3048, "m")))
        yield Row("state", "State", "<tight>")
        yield Row("rating", "Rating", None, "not stated")


def test_text_reads_in_both_systems() -> None:
    """Truth: 1 lbf = 4.4482216152605 N and 1 ft = 0.3048 m exactly (NIST SP 811, B.8)."""
    words = text("pull ", Amount(4.4482216152605, "N"), " over ", Amount(3.048, "m"))
    assert words == "pull 4.448 N over 3.048 m"
    assert words.told("US") == "pull 1 lbf over 10 ft"
    assert told("plain", "US") == "plain"
    assert told(words, "US") == words.told("US")


def test_parts_survive_joining_copying_and_keeping() -> None:
    """Truth: a joined or copied text is read in other units as its parts are."""
    words = text("by ", Amount(0.3048, "m"))
    more = "It moves " + words + ", " + text("at ", Amount(0.3048, "kg"))
    assert isinstance(more, Text)
    assert more.told("US") == "It moves by 1 ft, at 0.672 lb"
    for same in (copy.deepcopy(more), pickle.loads(pickle.dumps(more)), joined([more])):
        assert same == more and same.told("US") == more.told("US")


def test_answer_is_told_alike_everywhere(tmp_path) -> None:
    """Truth: the rows themselves."""
    pull = Pull(4448.2216152605)
    assert str(pull.table("US")).splitlines()[0] == "The rope pulls with 1,000 lbf."
    assert "&lt;tight&gt;" in pull._repr_html_() and "<tight>" not in pull._repr_html_()
    record = json.loads(json.dumps(pull.record(), allow_nan=False))
    assert record["rows"]["force"]["value"] == 4448.2216152605
    assert record["rows"]["force"]["unit"] == "N"
    assert record["rows"]["rating"]["value"] is None
    pull.to_csv(tmp_path / "pull.csv")
    with (tmp_path / "pull.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert [float(rows[1][1]), rows[2][1], rows[3][1]] == [4448.2216152605, "<tight>", ""]
    assert list(pull.to_frame().iloc[:, 0]) == ["Force", "State", "Rating"]
    assert repr(pull) == "<Pull: The rope pulls with 4.448 kN.>"
    assert len(repr(Pull(1e300))) <= LONGEST_REPR


def test_plain_data_has_no_number_that_json_lacks() -> None:
    """Truth: RFC 8259, section 6: infinities and NaN are no JSON numbers."""
    tree = plain({"a": [float("inf"), Amount(float("nan"), "m")], "b": text("x")})
    assert json.loads(json.dumps(tree, allow_nan=False)) == {"a": [None, None], "b": "x"}


def test_a_table_of_no_rows_is_still_a_table() -> None:
    """Truth: an empty sweep has a head and no lines."""
    empty = Table(head=("a", "b"), lines=())
    assert str(empty) == "a  b"
    assert "<tbody></tbody>" in empty._repr_html_()


def test_pandas_missing_is_said(monkeypatch) -> None:
    """Truth: the next step stands in the error."""
    import sys

    monkeypatch.setitem(sys.modules, "pandas", None)
    with pytest.raises(ImportError, match="to_csv"):
        Pull(1.0).to_frame()
