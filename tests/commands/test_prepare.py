"""Compiling beforehand: the bar, and the machines that it throws."""

import io

from slingwright.commands import prepare


def test_bar_goes_from_nothing_to_all(monkeypatch):
    """Truth: the machines of each step by themselves; shares counted by hand, five steps each."""
    seen = []
    named = [
        (words, lambda machine, words=words: seen.append((words, machine)))
        for words, _ in prepare.STEPS
    ]
    monkeypatch.setattr(prepare, "STEPS", named)
    out = io.StringIO()
    prepare.prepare(out)
    lines = out.getvalue().splitlines()
    shares = [int(line.split("%")[0].split("]")[1]) for line in lines if "%" in line]
    steps = 5 * len(prepare.USUAL)
    assert shares == [round(100 * k / steps) for k in range(steps + 1)]
    assert lines[-1 if lines[-1] else -2].startswith(f"  [{'#' * 24}] 100 %  ready")
    assert [words for words, _ in seen[:5]] == [words for words, _ in named]
    for kind in ("base.wheels", "counterweight.hung"):
        assert any(machine.flag(kind) for _, machine in seen)
    assert not all(machine.flag("base.wheels") for _, machine in seen)
