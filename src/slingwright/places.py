"""Where the kit's own files are: in an installed package, or in a checkout."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def data_folder() -> Path:
    """Give the folder of machine files, material tables and the demo log."""
    return _folder("data")


def shared_folder() -> Path:
    """Give the folder of what pages and tests share: plot style, units file, bibliography."""
    return _folder("shared")


def _folder(name: str) -> Path:
    """Give the copy inside the package where there is one, else the checkout's own folder."""
    tried = [_PACKAGE / name]
    if _PACKAGE.parent.name == "src":
        tried.append(_PACKAGE.parent.parent / name)
    for folder in tried:
        if folder.is_dir():
            return folder
    looked = " and ".join(str(folder) for folder in tried)
    raise FileNotFoundError(
        f"the folder {name!r} of slingwright was not found (looked for {looked}); "
        "install the package again, or run from a whole checkout"
    )
