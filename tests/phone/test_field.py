"""The field server over real connections: what is written once, what is refused, who gets in.

Truth: what was sent, counted in the log afterwards; RFC 9110 for statuses; the foot of 0.3048 m
(NIST SP 811); OWASP's lists of path traversal for the paths tried, from memory.
"""

import base64
import hashlib
import json
import socket
import threading
import time
from http.client import HTTPException
from pathlib import Path
from urllib.parse import urlencode

import pytest
from demo import demo_log
from phone.meadow import Drops, Phone, serving

from slingwright.logbook import Incident, Logbook, LogbookError, Photo, Shot
from slingwright.phone.gate import FRESH, LOCKED, TRIES, Gate, Shut

JPEG = b"\xff\xd8\xff\xe0" + bytes(2000)
SCRIPT = "<script>document.title='owned'</script><img src=x onerror=alert(1)>"


@pytest.fixture
def served(tmp_path):
    with serving(tmp_path / "a.log") as server:
        server.path = tmp_path / "a.log"
        yield server


@pytest.fixture
def phone(served) -> Phone:
    return Phone(served).come_in()


def shots(server) -> list[Shot]:
    with Logbook.open(server.path) as log:
        assert log.verify().whole
        return [entry.record for entry in log.current("shot")]


# ---- once


def test_two_phones_write_200_shots_each_over_a_connection_that_drops(served) -> None:
    """Truth: 400 different distances, each in the log once, though half of the requests drop."""
    drops = Drops(served, seed=5)

    def write(phone: Phone, far: int) -> None:
        name = f"{far:032x}"
        while True:
            try:
                status, _ = phone.write(id=name, range=str(far))
            except (OSError, HTTPException, ValueError):  # an answer cut in its head too
                continue
            assert status == 200
            return

    def day(phone: Phone, start: int) -> None:
        phone.port = drops.port
        for far in range(start, start + 200):
            write(phone, far)

    phones = [Phone(served).come_in(), Phone(served).come_in()]
    both = [
        threading.Thread(target=day, args=(phone, start))
        for phone, start in zip(phones, (0, 200), strict=True)
    ]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert min(drops.counts[how] for how in ("before", "unsent", "unheard", "half")) > 20
    assert sorted(shot.range for shot in shots(served)) == [float(far) for far in range(400)]


def test_one_name_writes_once_whatever_is_sent_under_it(phone, served) -> None:
    """Truth: the count of entries, and the number that the first answer gave."""
    name = "0" * 32
    assert phone.write(id=name, range="100") == (200, {"number": 1})
    assert phone.write(id=name, range="100") == (200, {"number": 1})
    assert phone.write(id=name, range="nonsense") == (200, {"number": 1})
    fix, gone = "1" * 32, "2" * 32
    for _ in range(2):
        assert phone.write(id=fix, of="1", range="101")[1] == {"number": 2}
    for _ in range(2):
        assert phone.write(id=gone, kind="strike", of="2", note="typed twice")[1] == {"number": 3}
    with Logbook.open(served.path) as log:
        assert len(log) == 3
        assert log.current("shot") == []
        assert log.sent_as(fix) == 2


def test_what_was_sent_is_kept_in_the_same_transaction(tmp_path) -> None:
    """Truth: SQLite's own tables after a write that fails at its last statement."""
    with Logbook.create(tmp_path / "a.log", machine="Otter Ford") as log:
        log._connection.execute("DROP TABLE sent")
        log._connection.execute("CREATE TABLE sent (once TEXT PRIMARY KEY, number TEXT CHECK (0))")
        with pytest.raises(LogbookError):
            log.append(Shot(load=12.0, range=1.0), once="a")
        assert len(log) == 0
        assert log.append(Shot(load=12.0, range=1.0)).number == 1


def test_a_name_that_was_sent_stays(tmp_path) -> None:
    """Truth: the triggers of the table, asked through another connection."""
    import sqlite3

    with Logbook.create(tmp_path / "a.log", machine="Otter Ford") as log:
        for _ in range(2):
            assert log.append(Shot(load=12.0, range=1.0), once="a").number == 1
        for _ in range(2):
            assert log.correct(1, Shot(load=12.0, range=2.0), once="b").number == 2
        for _ in range(2):
            assert log.withdraw(2, reason="twice", once="c").number == 3
        assert len(log) == 3
    other = sqlite3.connect(tmp_path / "a.log")
    for change in ("DELETE FROM sent", "UPDATE sent SET once = 'b'"):
        with pytest.raises(sqlite3.IntegrityError, match="append only"):
            other.execute(change)
    other.close()


# ---- reading


@pytest.mark.parametrize(
    ("sent", "field", "words"),
    [
        ({"range": "1,015"}, "range", "can be read in two ways: 1,015; write 1.015 or 1015"),
        ({"range": "far"}, "range", "'far' is not a number; write it as 101.5, in m"),
        ({"range": "5000"}, "range", "5000 m is outside -1000 to 2000 m"),
        ({"range": "80", "drift": "-"}, "drift", "'-' is not a number"),
        ({"range": "80", "drift": "2000"}, "drift", "2000 m is outside -1000 to 1000 m"),
        ({"range": "80", "release_seen": "well"}, "release_seen", "'well' is not one of"),
        ({"range": "80", "load": ""}, "load", "choose what was thrown"),
        ({"range": "80", "load": "heavy"}, "load", "'heavy' is not a number"),
        ({"release_seen": "injury"}, "note", "say what went wrong"),
        ({}, "nothing was seen of it", "nothing was seen of it"),
    ],
)
def test_a_field_that_cannot_be_read_is_asked(phone, served, sent, field, words) -> None:
    """Truth: the words of the kit's own reader and of the log; nothing is written."""
    status, told = phone.write(**sent)
    assert status == 422
    assert words in told["error"]
    assert told.get("field", "") == field
    assert told.get("ways", []) == (["1.015", "1015"] if "," in sent.get("range", "") else [])
    assert shots(served) == []


def test_a_shot_is_written_as_it_was_typed(phone, served) -> None:
    """Truth: numbers by hand; 100 ft are 30.48 m."""
    phone.write(range="101.5", drift="-2", time_of_flight="4.6", release_seen="late", note="gust")
    phone.write(range="100 ft", drift="0", load="9.5")
    first, second = shots(served)
    assert first == Shot(
        load=12.0, range=101.5, drift=-2.0, time_of_flight=4.6, release_seen="late"
    )
    assert second == Shot(load=9.5, range=30.48, drift=0.0)
    row = phone.rows()[0]
    amounts = {"load": "12 kg", "range": "101.5 m", "drift": "2 m", "time_of_flight": "4.6 s"}
    assert (row["amounts"], row["right"], row["note"]) == (amounts, -2.0, "gust")
    assert phone.rows()[1]["amounts"]["time_of_flight"] is None


def test_us_units_are_typed_and_shown(tmp_path) -> None:
    """Truth: 330 ft are 100.584 m, 10 lb are 4.5359237 kg."""
    with serving(tmp_path / "a.log", system="US") as server:
        server.path = tmp_path / "a.log"
        phone = Phone(server).come_in()
        phone.write(range="330", load="10")
        assert shots(server)[0].load == pytest.approx(4.5359237, rel=1e-15)
        assert shots(server)[0].range == pytest.approx(100.584, rel=1e-15)
        told = json.loads(phone.ask("GET", "/day")[2])
        assert told["rows"][0]["amounts"]["range"] == "330 ft"
        assert told["labels"]["range"] == "Distance [ft]"
        assert told["metre"] == [0.3048, "ft"]


def test_what_went_wrong_is_an_incident_beside_the_shot(phone, served) -> None:
    """Truth: the entries of the log."""
    phone.write(release_seen="damage", note="the pouch tore", range="60")
    phone.write(release_seen="near miss", note="a child under the rope")
    with Logbook.open(served.path) as log:
        kinds = [(entry.kind, entry.note) for entry in log]
        assert kinds == [("shot", ""), ("incident", ""), ("incident", "")]
        assert log.entry(2).record == Incident(what="the pouch tore", severity="damage")


def test_a_correction_keeps_what_was_not_typed_anew(tmp_path) -> None:
    """Truth: the shot as it was, its standard deviation and its last digits."""
    with Logbook.create(tmp_path / "a.log", machine="Otter Ford") as log:
        log.append(Shot(load=12.0, range=100.0, range_sd=0.3, drift=-2.718281828))
    with serving(tmp_path / "a.log") as server:
        phone = Phone(server).come_in()
        row = phone.rows()[0]
        with Logbook.open(tmp_path / "a.log") as log:
            old = log.entry(row["number"])
        status, told = phone.write(of=str(row["number"]), **row["form"] | {"range": "99.5"})
        assert status == 200
        with Logbook.open(tmp_path / "a.log") as log:
            new = log.entry(told["number"])
        assert new.record.range == 99.5
        assert new.record.range_sd == old.record.range_sd is not None
        assert new.record.drift == old.record.drift != 0.0
        assert (new.at, new.corrects) == (old.at, old.number)
        assert [one["number"] for one in phone.rows()][0] == new.number
        status, told = phone.write(of=str(row["number"]), **row["form"])
        assert status == 422
        assert "corrected already" in told["error"]


def test_a_strike_stays_in_the_list_with_its_reason(phone) -> None:
    """Truth: the row before and after."""
    phone.write(range="100")
    assert phone.write(kind="strike", of="1", note="")[0] == 422
    assert phone.write(kind="strike", of="1", note="not our ball")[0] == 200
    assert [(row["number"], row["struck"]) for row in phone.rows()] == [(1, "not our ball")]


def test_days_are_told_apart(tmp_path) -> None:
    """Truth: the diary's own dates."""
    demo_log(tmp_path / "a.log").close()
    with serving(tmp_path / "a.log") as server:
        phone = Phone(server).come_in()
        told = json.loads(phone.ask("GET", "/day")[2])
        assert told["day"] == told["days"][-1] == "2026-06-12"
        assert {row["ahead"] for row in told["rows"]} == {102.1, 102.9, 143.6}
        earlier = phone.rows("2026-06-11")
        assert {row["ahead"] for row in earlier} >= {149.1, 65.9}
        assert phone.rows("../../etc") == told["rows"]
        query = f"/day?{urlencode({'have': told['state']})}"
        assert json.loads(phone.ask("GET", query)[2]) == {"same": True}
        phone.write(range="1")
        assert json.loads(phone.ask("GET", query)[2])["rows"][0]["ahead"] == 1.0


# ---- who gets in


def test_a_code_is_for_one_phone_and_ends() -> None:
    """Truth: a clock of the test's own, ten minutes."""
    clock = [1000.0]
    gate = Gate(now=lambda: clock[0])
    code = gate.new_code()
    secret = gate.enter(f"{code[:4]} {code[4:]}", "mine")
    assert gate.knows(secret)
    assert not gate.knows("")
    assert gate.enter(code, "mine") == secret  # the answer was lost: the same phone asks again
    with pytest.raises(Shut, match="used by another phone"):
        gate.enter(code, "theirs")
    code = gate.new_code()
    clock[0] += FRESH
    with pytest.raises(Shut, match="older than 10 minutes"):
        gate.enter(code, "late")
    assert gate.enter(gate.new_code(), "other") != secret
    clock[0] += 86_400.0
    assert not gate.knows(secret)


def test_nothing_stands_for_a_code_or_a_phone() -> None:
    """Truth: an empty code before there is one; a phone without a name, which any other has too."""
    gate = Gate()
    with pytest.raises(Shut):
        gate.enter("", "a")
    with pytest.raises(Shut):
        gate.enter(gate.new_code(), "")


def test_ten_wrong_codes_lock_for_a_minute() -> None:
    """Truth: a clock of the test's own; the right code too is refused until the minute is over."""
    clock = [0.0]
    gate = Gate(now=lambda: clock[0])
    code = gate.new_code()
    wrong = f"{(int(code) + 1) % 10**8:08d}"
    for _ in range(TRIES):
        with pytest.raises(Shut, match="wrong"):
            gate.enter(wrong, "a")
    clock[0] += LOCKED - 1.0
    with pytest.raises(Shut, match="none is taken for 1 s more") as shut:
        gate.enter(code, "a")
    assert shut.value.wait == pytest.approx(1.0)
    clock[0] += 1.0
    assert gate.knows(gate.enter(code, "a"))


def test_nothing_is_told_without_the_code(served) -> None:
    """Truth: 401 for every part of the day; 429 once ten codes were wrong."""
    phone = Phone(served)
    for method, path in (("GET", "/day"), ("GET", "/checks"), ("GET", "/photo/a.jpg")):
        assert phone.ask(method, path)[0] == 401
    assert phone.write(range="1")[0] == 401
    assert phone.write(picture="A" * 5_000_000)[0] == 401
    phone.cookie = "slingwright_field=" + "a" * 43
    assert phone.ask("GET", "/day")[0] == 401
    code = served.gate.new_code()
    found = [phone.post("/enter", {"code": "x", "phone": "a"})[0] for _ in range(TRIES)]
    assert found == [403] * TRIES
    assert phone.post("/enter", {"code": code, "phone": "a"})[0] == 429
    assert phone.ask("GET", "/")[0] == 200
    assert shots(served) == []


def test_the_secret_is_out_of_reach_of_scripts_and_other_sites(served) -> None:
    """Truth: RFC 6265bis, HttpOnly and SameSite; CSP level 3."""
    phone = Phone(served)
    sent = {"code": served.gate.new_code(), "phone": "a"}
    _, heads, _ = phone.ask("POST", "/enter", json.dumps(sent).encode())
    assert "HttpOnly; SameSite=Strict" in heads["Set-Cookie"]
    for path in ("/", "/field.js", "/field.css", "/none"):
        heads = phone.ask("GET", path)[1]
        assert heads["Content-Security-Policy"].startswith("default-src 'self';")
        assert heads["X-Content-Type-Options"] == "nosniff"


def test_another_host_or_another_site_is_refused(phone, served) -> None:
    """Truth: a name that was bound anew to this address (DNS rebinding), and a foreign page."""
    assert phone.ask("GET", "/day", Host="evil.example")[0] == 400
    assert phone.ask("GET", "/", Host="evil.example")[0] == 400
    assert phone.ask("GET", "/day", Origin="http://evil.example")[0] == 400
    sent = b'{"id": "%s", "kind": "shot", "load": "1", "range": "1"}' % (b"0" * 32)
    assert phone.ask("POST", "/entry", sent, Origin="http://evil.example")[0] == 400
    assert phone.ask("POST", "/entry", sent, Content_Type="text/plain")[0] == 415
    assert shots(served) == []


@pytest.mark.parametrize(
    "path",
    [
        "/../a.log",
        "/..%2fa.log",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/photo/../../a.log",
        "/photo/..%2f..%2fa.log",
        "/photo//etc/passwd",
        "/photo/a.log",
        "/photo/",
        "//etc/passwd",
        "/field.js/../gate.py",
        "/gate.py",
        "/.git/config",
        "/photo/..\\..\\a.log",
        "http://127.0.0.1/etc/passwd",
    ],
)
def test_no_path_leads_outside(phone, served, path) -> None:
    """Truth: the bytes that came back over a bare socket, as nothing on the way cleans a path."""
    with socket.create_connection(served.server_address) as one:
        ask = f"GET {path} HTTP/1.1\r\nHost: {served.hosts[0]}\r\nCookie: {phone.cookie}\r\n"
        one.sendall(f"{ask}Connection: close\r\n\r\n".encode())
        found = b""
        while part := one.recv(65_536):
            found += part
    assert found.startswith(b"HTTP/1.1 404 ")
    assert b"SQLite" not in found
    assert b"root:" not in found


# ---- what is sent


def test_a_photo_is_kept_by_its_hash_and_shown(phone, served) -> None:
    """Truth: SHA-256 of the bytes that were sent (FIPS 180-4)."""
    picture = base64.b64encode(JPEG).decode()
    name = "3" * 32
    for _ in range(2):
        assert phone.write(id=name, kind="photo", picture=picture, note="the hook")[0] == 200
    found = hashlib.sha256(JPEG).hexdigest()
    folder = served.path.with_name("a.log.photos")
    assert [one.name for one in folder.iterdir()] == [f"{found}.jpg"]
    row = phone.rows()[0]
    assert (row["photo"], row["note"]) == (f"{found}.jpg", "the hook")
    status, heads, content = phone.ask("GET", f"/photo/{found}.jpg")
    assert (status, heads["Content-Type"], content) == (200, "image/jpeg", JPEG)
    other = base64.b64encode(JPEG + b"2").decode()
    assert phone.write(kind="photo", picture=other)[1] == {"number": 2}
    with Logbook.open(served.path) as log:
        assert len(log) == 2
        log.withdraw(1, reason="a face on it")
    assert phone.ask("GET", f"/photo/{found}.jpg")[0] == 404


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"<html><script>alert(1)</script></html>", "not a picture the log knows"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "not a picture"),
        (b"", "not a picture"),
    ],
)
def test_what_is_no_picture_is_refused(phone, served, content, words) -> None:
    """Truth: nothing lies beside the log afterwards."""
    picture = base64.b64encode(content).decode()
    status, told = phone.write(kind="photo", name="axle.jpg", picture=picture)
    assert status == 422
    assert words in told["error"]
    assert not served.path.with_name("a.log.photos").exists()


def test_fifty_megabytes_are_refused_and_not_kept(phone, served) -> None:
    """Truth: RFC 9110, 15.5.14; the next request of the same phone is answered."""
    status, told = phone.post("/entry", {"id": "0" * 32, "picture": "A" * 50_000_000})
    assert status == 413
    assert "50.0 MB were sent, and the most is 11.0 MB" in told["error"]
    picture = base64.b64encode(JPEG + bytes(7_900_000)).decode()
    assert phone.write(kind="photo", picture=picture)[0] == 200


@pytest.mark.parametrize(
    ("body", "heads", "status"),
    [
        (b"{", {}, 415),
        (b"[" * 100_000, {}, 415),
        (b'{"range": 5}', {}, 415),
        (b"[]", {}, 415),
        (b"\xff\xfe", {}, 415),
        (b"{}", {}, 422),
        (b"", {"Content_Length": "none"}, 413),
        (b"", {"Content_Length": "-1"}, 413),
        (b"", {"Content_Length": "9" * 5000}, 413),
    ],
)
def test_nonsense_is_answered(phone, body, heads, status) -> None:
    """Truth: RFC 9110; the server is there afterwards."""
    assert phone.ask("POST", "/entry", body, **heads)[0] == status
    assert phone.write(range="100")[0] == 200


def test_a_request_that_is_cut_short_writes_nothing(phone, served) -> None:
    """Truth: the log after half a request."""
    body = json.dumps({"id": "0" * 32, "kind": "shot", "load": "12", "range": "99"}).encode()
    with socket.create_connection(served.server_address) as one:
        head = f"POST /entry HTTP/1.1\r\nHost: {served.hosts[0]}\r\nCookie: {phone.cookie}\r\n"
        head += f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
        one.sendall(head.encode() + body[:-5])
    time.sleep(0.2)
    assert shots(served) == []


def test_script_text_stays_text(phone, served) -> None:
    """Truth: the very text in the log; JSON that no browser takes for a page."""
    assert phone.write(range="100", note=SCRIPT, author=SCRIPT)[0] == 200
    status, heads, content = phone.ask("GET", "/day")
    assert (status, heads["Content-Type"]) == (200, "application/json")
    assert json.loads(content)["rows"][0]["note"] == SCRIPT
    with Logbook.open(served.path) as log:
        assert log.entry(1).note == SCRIPT


def test_a_full_disk_is_tried_again(phone, served, monkeypatch) -> None:
    """Truth: ENOSPC of the system is 503, which a phone keeps and sends again."""

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "mkdir", full)
    status, told = phone.write(kind="photo", picture=base64.b64encode(JPEG).decode())
    assert status == 503
    assert "disk is full" in told["error"]
    with Logbook.open(served.path) as log:
        assert log.current(Photo.kind) == []
