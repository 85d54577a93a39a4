"""The command `field`: where it listens, what it prints, how it ends.

Truth: the process's own output and the system's own answer to a connection; RFC 1918 and RFC 5737
for addresses.
"""

import http.client
import json
import os
import re
import select
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest
from conftest import free_port
from demo import demo_log

from slingwright.commands.field import lan_address
from slingwright.commands.line import main
from slingwright.commands.typed import Refusal
from slingwright.logbook.job import open_job
from slingwright.phone.day import Day

SOURCE = Path(__file__).resolve().parents[2] / "src"


def started(*words: object) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "slingwright", "field", *map(str, words)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(SOURCE)},
    )


def read_until(process: subprocess.Popen[bytes], words: str, seconds: float = 60.0) -> str:
    """Read what a process prints until it has printed some words."""
    found, end = b"", time.monotonic() + seconds
    while words.encode() not in found and time.monotonic() < end and process.poll() is None:
        if select.select([process.stdout], [], [], 0.2)[0]:
            found += os.read(process.stdout.fileno(), 65_536)
    assert words in found.decode(), found.decode()
    return found.decode()


def test_it_prints_address_code_and_picture_and_ends(tmp_path) -> None:
    """Truth: the printed code lets one phone in, Enter makes another, Ctrl-C ends with 0."""
    log, port = tmp_path / "a.log", free_port()
    demo_log(log).close()
    process = started(log, "--port", port)
    try:
        said = read_until(process, "Ctrl-C ends.")
        assert f"Entries go into {log}." in said
        assert "Only this computer can open the page" in said
        assert said.count("\u2584") > 20  # half blocks of the QR code
        codes = re.findall(r"code (\d{4}) (\d{4}), for one phone", said)
        process.stdin.write(b"\n")
        process.stdin.flush()
        codes += re.findall(r"code (\d{4}) (\d{4}), for", read_until(process, "Ctrl-C ends."))
        assert len(codes) == 2
        answers = []
        for code in codes:
            one = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
            sent = json.dumps({"code": "".join(code), "phone": "a"})
            one.request("POST", "/enter", sent, {"Content-Type": "application/json"})
            answers.append(one.getresponse().status)
            one.close()
        assert answers == [403, 200]
        process.send_signal(signal.SIGINT)
        assert "every entry that came in is in" in read_until(process, "Ended")
        assert process.wait(timeout=20) == 0
    finally:
        process.kill()
        process.wait()
        process.stdin.close()
        process.stdout.close()


def test_without_lan_no_other_address_of_this_computer_answers(tmp_path) -> None:
    """Truth: the system refuses the connection."""
    try:
        own = lan_address()
    except Refusal:
        pytest.skip("this computer is on no network")
    from phone.meadow import serving

    with serving(tmp_path / "a.log") as server, pytest.raises(ConnectionRefusedError):
        socket.create_connection((own, server.server_address[1]), timeout=5)
    with serving(tmp_path / "a.log", host=own) as server:
        assert server.url == f"http://{own}:{server.server_address[1]}/"
        socket.create_connection((own, server.server_address[1]), timeout=5).close()


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("1.2.3.4", "no address of a local network"),
        ("0.0.0.0", "no address of a local network"),
        ("224.0.0.1", "no address of a local network"),
        ("meadow", "no address of a local network"),
    ],
)
def test_an_address_of_the_open_internet_is_declined(typed: str, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        lan_address(typed)


@pytest.mark.parametrize("typed", ["192.168.1.20", "10.0.0.7", "172.20.10.1", "169.254.3.4"])
def test_an_address_of_a_local_network_is_taken(typed: str) -> None:
    assert lan_address(typed) == typed


def test_a_job_is_begun_by_the_first_shot(tmp_path, monkeypatch) -> None:
    """Truth: the job's own folder and log; the demo's entries stand before the shot."""
    monkeypatch.setenv("SLINGWRIGHT_LOGS", str(tmp_path))
    monkeypatch.delenv("SLINGWRIGHT_JOB", raising=False)
    job = open_job("otter_ford")
    day = Day(log=job.log, machine=lambda _: job.machine())
    count = len(day.told()["rows"])
    assert count == 3
    assert not job.begun
    entry = day.write({"id": "0" * 32, "kind": "shot", "load": "12", "range": "100"})
    assert job.begun
    with job.log() as log:
        assert len(log) == entry.number
        assert log.sent_as("0" * 32) == entry.number


def test_what_cannot_be_served_is_said_in_a_sentence(tmp_path, capsys) -> None:
    """Truth: the words, and exit code 2."""
    assert main(["field", str(tmp_path / "none.log")]) == 2
    assert "there is no log" in capsys.readouterr().err
    demo_log(tmp_path / "a.log").close()
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        assert main(["field", str(tmp_path / "a.log"), "--port", port]) == 2
    assert f"port {port} cannot be listened on" in capsys.readouterr().err
