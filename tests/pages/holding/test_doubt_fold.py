"""The fold that tells how sure each use is: asked for by a button, of the present machine alone."""

from slingwright.pages.holding.page import DoubtFold, HoldingBench
from slingwright.pages.parts.workbench import Workbench


def test_it_is_asked_for_and_goes_with_its_machine():
    """Truth: the answer's own sentence; nothing before it is asked for, nor past a change."""
    bench = Workbench("fixed_pair")
    fold = DoubtFold(bench)
    shown = fold.widget
    fold.refresh()
    assert fold.words.value == ""
    shown.children[0].click()
    assert fold.found is not None and fold.found.sentence.split(".")[0] in fold.words.value
    assert fold.words.value.count("<tr") >= len(fold.found.found)
    bench.change({"axle.diameter": "71 mm"})
    fold.refresh()
    assert fold.words.value == ""
    fold.close()


def test_the_fold_stands_on_the_page() -> None:
    """Truth: the tree of widgets of the page itself."""

    def inside(widget):
        yield widget
        for child in getattr(widget, "children", ()):
            yield from inside(child)

    page = HoldingBench("garden")
    assert page.doubt.widget in list(inside(page.widget)) and page.doubt in page.parts
    page.close()
