"""Where the kit's own files are: in an installed package, or in a checkout."""

from functools import cache
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def data_folder() -> Path:
    """Give the folder of machine files, material tables and the demo log."""
    return _folder("data", _PACKAGE)


def shared_folder() -> Path:
    """Give the folder of what pages and tests share: plot style, units file, bibliography."""
    return _folder("shared", _PACKAGE)


@cache
def _folder(name: str, package: Path) -> Path:
    """Give the copy inside the package where there is one, else the checkout's own folder."""
    tried = [package / name]
    if package.parent.name == "src":
        tried.append(package.parent.parent / name)
    for folder in tried:
        if folder.is_dir():
            return folder
    looked = " and ".join(str(folder) for folder in tried)
    raise FileNotFoundError(
        f"the folder {name!r} of slingwright was not found (looked for {looked}); "
        "install the package again, or run from a whole checkout"
    )
