"""``fieldplan desk``: one line with the address, this machine alone, and a plain refusal where it cannot be had."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from fieldplan.cli.main import exit_code


def _addresses_of(port: int) -> set[str]:
    """The addresses on which something listens at a port, as the system lists them."""
    found = set()
    for name in ("/proc/net/tcp", "/proc/net/tcp6"):
        if not Path(name).exists():
            pytest.skip("this system lists no sockets")
        for line in Path(name).read_text(encoding="ascii").splitlines()[1:]:
            local, state = line.split()[1], line.split()[3]
            address, _, at = local.rpartition(":")
            if state == "0A" and int(at, 16) == port:
                found.add(address)
    return found


def test_it_prints_its_address_listens_here_alone_and_stops_when_told(tmp_path: Path) -> None:
    """One line on stdout; 127.0.0.1 and nothing else; Ctrl-C ends it without a traceback, and no folder is made."""
    command = [
        sys.executable,
        "-m",
        "fieldplan",
        "desk",
        "--port",
        "0",
        "--no-browser",
        "--folder",
        str(tmp_path / "jobs"),
    ]
    running = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=tmp_path
    )
    assert running.stdout is not None
    try:
        address = running.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:")
        port = int(address.rstrip("/").rpartition(":")[2])
        with urllib.request.urlopen(address, timeout=20) as answer:
            assert b"fieldplan desk" in answer.read()
        assert _addresses_of(port) == {"0100007F"}
    finally:
        running.send_signal(signal.SIGINT)
        printed, said = running.communicate(timeout=30)
    assert printed == ""
    assert "Traceback" not in said
    assert running.returncode in (0, 130, -signal.SIGINT)
    assert list(tmp_path.iterdir()) == []


def test_a_port_that_is_taken_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With what to try."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = str(other.getsockname()[1])
        assert exit_code(["desk", "--port", port, "--no-browser", "--folder", str(tmp_path)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert f"port {port} cannot be had" in said.err
    assert "--port 0" in said.err


def test_without_the_libraries_it_says_which_extra_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Before anything is opened."""
    import importlib.util

    there = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name: None if name == "nicegui" else there(name)
    )
    assert exit_code(["desk", "--no-browser", "--folder", str(tmp_path)]) == 2
    assert "'web' extra" in capsys.readouterr().err


def test_the_command_line_does_not_load_the_page() -> None:
    """Nor does the help of the command: both stay quick, and work where the page is not installed."""
    code = "import sys, fieldplan.cli.main as m; m.exit_code(['desk', '--help']); print([n for n in sys.modules if n.split('.')[0] in ('nicegui', 'fastapi', 'uvicorn')])"
    got = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env={**os.environ}
    )
    assert got.stdout.strip().endswith("[]")
