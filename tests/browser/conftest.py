"""One browser page for all tests of a module: what takes long is opening JupyterLab."""

import pytest


@pytest.fixture(scope="module")
def page(browser):
    """Give a page that the tests of a module share; `run_page` runs its notebook anew for each."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    shared = context.new_page()
    said = shared.said = []  # what the console said since the notebook was run

    def answer(dialog) -> None:
        if dialog.type == "beforeunload":
            dialog.accept()
        else:
            said.append(f"dialog: {dialog.message}")
            dialog.dismiss()

    shared.on("console", lambda one: said.append(one.text) if one.type == "error" else None)
    shared.on("pageerror", lambda error: said.append(str(error)))
    shared.on("dialog", answer)
    yield shared
    context.close()
