"""The slider that turns over pictures: each value its picture and its sentence, for print too.

Truth: the PNG signature; the pictures as they were drawn; the sentences that were given.
"""

import pytest

import slingwright as sw
from slingwright.pages.lessons.flip import LARGE


def pages(count):
    """Draw a few pictures, no two alike."""
    drawn = []
    for i in range(count):
        figure, axes = sw.sheet(1, 1, width=2.0, height=1.5)
        axes.plot([0, 1], [0, i])
        drawn.append(figure)
    return drawn


def test_each_value_has_its_picture_and_its_sentence():
    """Truth: see above: after every move of the slider, picture, text and alternative text."""
    words = ("flat", "<steep>", "steeper")
    flip = sw.panels.Flip("slope", (0.0, 1.5, "two"), pages(3), words, at=1)
    assert [name for name, _ in flip.slider.options] == ["0", "1.5", "two"]
    seen = set()
    for at, text in enumerate(words):
        flip.slider.value = at
        assert flip.picture.value[:8] == b"\x89PNG\r\n\x1a\n" and flip.picture.alt == text
        assert text.replace("<", "&lt;").replace(">", "&gt;") in flip.told.value
        seen.add(flip.picture.value)
        assert flip._repr_mimebundle_()["image/png"] == flip.picture.value, "what print takes"
    assert len(seen) == 3


@pytest.mark.parametrize(("values", "count"), [((1.0, 2.0), 3), ((), 0)])
def test_one_of_each_for_each(values, count):
    """Truth: the message counts them."""
    with pytest.raises(ValueError, match=f"{len(values)} values, {count} pictures"):
        sw.panels.Flip("slope", values, pages(count), ["x"] * count)


def test_large_type_is_switched_on_and_off():
    """Truth: the style that is on the page, and none."""
    switch, style = sw.panels.large_type().children
    switch.value = True
    assert LARGE in style.value
    switch.value = False
    assert style.value == ""
