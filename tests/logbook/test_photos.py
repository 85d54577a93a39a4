"""Photos are copied in whole, filed by their hash, and no name of theirs reaches the file system.

Truth: sha256 of the standard library over the bytes given; the folder's own listing.
"""

import hashlib
import os

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slingwright.logbook import Logbook, LogbookError, Photo
from slingwright.logbook.photos import LARGEST_PHOTO, photo_folder, picture_ending, safe_name

PNG = b"\x89PNG\r\n\x1a\n" + b"axle" * 100
JPEG = b"\xff\xd8\xff\xe0" + b"prong" * 100


@pytest.fixture
def log(tmp_path):
    (tmp_path / "deep" / "er").mkdir(parents=True)
    with Logbook.create(tmp_path / "deep" / "er" / "a.log", machine="Otter Ford") as opened:
        yield opened


def everything(folder) -> list[str]:
    return sorted(str(place.relative_to(folder)) for place in folder.rglob("*") if place.is_file())


def test_a_photo_is_copied_in_beside_the_log(log, tmp_path) -> None:
    source = tmp_path / "axle seat.PNG"
    source.write_bytes(PNG)
    entry = log.add_photo(source, caption="crack at the axle seat", author="mill")
    source.unlink()
    photo = entry.record
    assert photo.sha256 == hashlib.sha256(PNG).hexdigest()
    assert photo.file_name == photo.sha256 + ".png"
    assert (photo_folder(log.path) / photo.file_name).read_bytes() == PNG
    assert (photo.name, photo.size, photo.ending) == ("axle seat.PNG", len(PNG), "png")
    assert log.verify().whole


def test_the_same_picture_is_kept_once_and_told_twice(log) -> None:
    log.add_photo(PNG, name="one.png")
    log.add_photo(PNG, name="two.png")
    log.add_photo(JPEG, name="three.jpg")
    assert len(os.listdir(photo_folder(log.path))) == 2
    assert [entry.record.name for entry in log] == ["one.png", "two.png", "three.jpg"]


@pytest.mark.parametrize(
    "name",
    [
        "../../../outside.png",
        "/etc/cron.d/outside",
        "..\\..\\outside.png",
        "C:\\outside.png",
        "..",
        ".",
        "a/../../b.png",
        "~/outside.png",
        "nul\x00byte.png",
        "$(touch outside).png",
        "`id`; rm -rf x.png",
        "gpj.\u202egnp",
        "<img src=x onerror=alert(1)>.png",
        "CON",
        "x" * 5000 + ".png",
        "a\nb.png",
    ],
)
def test_a_name_that_plays_tricks_is_only_a_name(log, tmp_path, name) -> None:
    entry = log.add_photo(PNG, name=name)
    shown = entry.record.name
    assert shown == safe_name(name)
    assert not set(shown) & set("/\\\x00\n\u202e") and len(shown) <= 200
    stored = f"deep/er/a.log.photos/{hashlib.sha256(PNG).hexdigest()}.png"
    assert everything(tmp_path) == sorted(["deep/er/a.log", stored])
    assert not os.path.exists("outside")


@given(st.text(max_size=60))
def test_a_safe_name_is_one_plain_word_of_path(name) -> None:
    """Truth: os.path: a name that is its own last part, and neither here nor above."""
    shown = safe_name(name)
    assert shown and os.path.basename(shown) == shown
    assert shown not in (".", "..") and not shown.startswith(".")
    assert safe_name(shown) == shown


@pytest.mark.parametrize(
    "content",
    [b"", b"<svg xmlns='x' onload='alert(1)'/>", b"<html>", b"%PDF-1.7", b"GIF", b"MZ" + bytes(99)],
)
def test_what_is_no_picture_is_refused(log, content) -> None:
    assert picture_ending(content[:16]) is None
    with pytest.raises(LogbookError, match="not a picture the log knows.*Save it as JPEG"):
        log.add_photo(content, name="axle.png")
    assert len(log) == 0 and not photo_folder(log.path).exists()


def test_the_ending_comes_from_the_content() -> None:
    """Truth: the signatures in the standards of each kind of file."""
    assert picture_ending(b"GIF89a") == "gif"
    assert picture_ending(b"RIFF\x00\x00\x00\x00WEBPVP8 ") == "webp"
    assert picture_ending(b"II*\x00") == picture_ending(b"MM\x00*") == "tif"
    assert picture_ending(b"\x00\x00\x00\x18ftypheic") == "heic"
    assert picture_ending(JPEG) == "jpg"


def test_what_cannot_be_read_is_said(log, tmp_path) -> None:
    fifo = tmp_path / "pipe.png"
    os.mkfifo(fifo)
    with pytest.raises(LogbookError, match="not a plain file"):
        log.add_photo(fifo)
    with pytest.raises(LogbookError, match="the photo cannot be read"):
        log.add_photo(tmp_path / "missing.png")
    with pytest.raises(LogbookError, match="the photo cannot be read"):
        log.add_photo(tmp_path)
    with pytest.raises(LogbookError, match="the photo cannot be read"):
        log.add_photo("nul\x00byte.png")
    large = tmp_path / "large.png"
    with large.open("wb") as file:
        file.truncate(LARGEST_PHOTO + 1)
    with pytest.raises(LogbookError, match="60.0 MB, and the most is 60 MB"):
        log.add_photo(large)
    assert len(log) == 0


def test_a_photo_gone_or_changed_is_found(log) -> None:
    log.add_photo(PNG, name="one.png")
    log.add_photo(JPEG, name="two.jpg")
    one, two = (photo_folder(log.path) / entry.record.file_name for entry in log)
    one.unlink()
    two.write_bytes(JPEG + b"x")
    findings = log.verify()
    assert findings.faults == ()
    assert len(findings.photos_missing) == len(findings.photos_changed) == 1
    assert "one.png" in findings.photos_missing[0] and "two.jpg" in findings.photos_changed[0]
    log.add_photo(JPEG, name="two.jpg")
    assert two.read_bytes() == JPEG


def test_a_photo_record_takes_no_path_for_a_hash() -> None:
    """Truth: 64 hex digits (FIPS 180-4) and the endings the log knows."""
    for digits in ("../../x", "A" * 64, "0" * 63, None):
        with pytest.raises(LogbookError, match="not a sha256"):
            Photo(name="a", sha256=digits, ending="png", size=1)
    with pytest.raises(LogbookError, match="'svg' is not one of"):
        Photo(name="a", sha256="0" * 64, ending="svg", size=1)
    with pytest.raises(LogbookError, match="no count of bytes"):
        Photo(name="a", sha256="0" * 64, ending="png", size=-1)
