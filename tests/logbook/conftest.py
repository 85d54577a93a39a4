"""Set-up shared by the tests of the log."""

import os
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parents[2] / "src"


@pytest.fixture
def source_environment() -> dict[str, str]:
    """Give the environment of a child process that shall find the package."""
    return {**os.environ, "PYTHONPATH": str(SOURCE)}
