"""Photos beside the log: copied in whole, filed by the hash of what they show."""

import contextlib
import hashlib
import os
import secrets
import stat
import unicodedata
from collections.abc import Iterable
from pathlib import Path

from slingwright.logbook.entries import Entry, Photo
from slingwright.logbook.faults import LogbookError, explain_storage_error
from slingwright.logbook.validation import LONGEST_NAME

LARGEST_PHOTO = 60_000_000  # [byte]


def photo_folder(log: Path) -> Path:
    """Return the folder beside a log that holds its photos.

    >>> photo_folder(Path("otter-ford.log")).name
    'otter-ford.log.photos'
    """
    return log.with_name(f"{log.name}.photos")


def safe_name(name: str) -> str:
    """Return the last part of a file name with nothing left in it that a system could act on.

    Arguments:
        name: what the photo was called, wherever it came from.

    Both kinds of slash end a folder, control and direction-changing characters go, and so do
    leading dots and blanks. What is left may be shown, and is never used as a path.

    >>> safe_name("../../etc/passwd"), safe_name("C:\\\\crew\\\\axle.jpg"), safe_name("..")
    ('passwd', 'axle.jpg', 'photo')
    """
    last = name.replace("\\", "/").rstrip("/").rsplit("/", 1)[-1]
    kept = "".join(
        letter for letter in last if unicodedata.category(letter)[0] not in "CZ" or letter == " "
    )
    return kept.strip(" .")[:LONGEST_NAME] or "photo"


def picture_ending(start: bytes) -> str | None:
    """Return the ending for a picture from its first bytes, None where it is no known kind.

    Drawings that can carry programs (SVG) and pages are not known kinds.

    Source: JPEG ISO/IEC 10918-1; PNG ISO/IEC 15948; GIF89a; RIFF WebP; TIFF 6.0;
    ISO/IEC 23008-12 (HEIF).

    >>> picture_ending(b"\\x89PNG\\r\\n\\x1a\\n"), picture_ending(b"<svg onload=x>")
    ('png', None)
    """
    if start.startswith(b"\xff\xd8\xff"):
        return "jpg"
    if start.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    if start.startswith((b"GIF87a", b"GIF89a")):
        return "gif"
    if start.startswith(b"RIFF") and start[8:12] == b"WEBP":
        return "webp"
    if start.startswith((b"II*\x00", b"MM\x00*")):
        return "tif"
    if start[4:8] == b"ftyp" and start[8:12] in (b"heic", b"heix", b"mif1", b"msf1", b"heim"):
        return "heic"
    return None


def read_picture(source: Path) -> bytes:
    """Return the bytes of a picture file.

    Raises LogbookError where it is no plain file, too large, or cannot be read.
    """
    try:
        with open(source, "rb", opener=_open_without_waiting) as file:
            status = os.fstat(file.fileno())
            if not stat.S_ISREG(status.st_mode):
                raise LogbookError(
                    f"{source.name}: not a plain file. Choose the picture's own file."
                )
            if status.st_size > LARGEST_PHOTO:
                raise _too_large(source.name, status.st_size)
            return file.read(LARGEST_PHOTO + 1)
    except (OSError, ValueError) as error:
        raise LogbookError(
            f"{safe_name(str(source))}: the photo cannot be read ({error}). Look at the name and "
            "whether the card or phone is still connected."
        ) from error


def _open_without_waiting(path: str, flags: int) -> int:
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def _too_large(name: str, size: int) -> LogbookError:
    return LogbookError(
        f"{safe_name(name)}: {size / 1e6:.1f} MB, and the most is {LARGEST_PHOTO / 1e6:.0f} MB. "
        "Save a smaller copy and add that."
    )


def keep_photo(log: Path, content: bytes, *, name: str, caption: str = "") -> Photo:
    """Copy a picture in beside the log and return the record that points to it.

    Arguments:
        log: the log file.
        content: bytes of the picture.
        name: what it was called.
        caption: what it shows.

    The copy is written under another name, brought to the disk and then moved to its place, so a
    half copy is never found there. The same picture twice is kept once.

    Raises LogbookError where it is no picture, too large, or the disk refuses.
    """
    if len(content) > LARGEST_PHOTO:
        raise _too_large(name, len(content))
    ending = picture_ending(content[:16])
    if ending is None:
        raise LogbookError(
            f"{safe_name(name)}: this is not a picture the log knows (JPEG, PNG, GIF, WebP, TIFF, "
            "HEIC). Save it as JPEG and add that."
        )
    photo = Photo(
        name=safe_name(name),
        sha256=hashlib.sha256(content).hexdigest(),
        ending=ending,
        size=len(content),
        caption=caption,
    )
    folder = photo_folder(log)
    place = folder / photo.file_name
    draft = folder / f".{secrets.token_hex(8)}.new"
    try:
        folder.mkdir(exist_ok=True)
        if place.is_file() and hashlib.sha256(place.read_bytes()).hexdigest() == photo.sha256:
            return photo
        with draft.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(place)
        _settle(folder)
    except OSError as error:
        raise explain_storage_error(error, log, f"copying the photo {photo.name}") from error
    finally:
        with contextlib.suppress(OSError):
            draft.unlink(missing_ok=True)
    return photo


def bring_photos(log: Path, entries: Iterable[Entry], folder: Path) -> None:
    """Copy the photos that entries name in beside a log, from where they are kept in a folder."""
    for entry in entries:
        photo = entry.record
        if isinstance(photo, Photo) and (folder / photo.file_name).is_file():
            keep_photo(log, (folder / photo.file_name).read_bytes(), name=photo.name)


def _settle(folder: Path) -> None:
    if hasattr(os, "O_DIRECTORY"):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def photo_files(log: Path) -> set[str]:
    """Give the names of the files in a log's folder of photos."""
    folder = photo_folder(log)
    return {place.name for place in folder.iterdir()} if folder.is_dir() else set()


def photo_state(log: Path, photo: Photo) -> str:
    """Return `whole`, `missing` or `changed` for the copy a record points to."""
    place = photo_folder(log) / photo.file_name
    try:
        digest = hashlib.sha256(place.read_bytes()).hexdigest()
    except OSError:
        return "missing"
    return "whole" if digest == photo.sha256 else "changed"
