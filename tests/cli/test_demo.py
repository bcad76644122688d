"""``trainer demo``: from nothing to a trainee's job card, with the real server."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.parse import urlencode

import pytest

PATIENCE_S = 120


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """What a running demonstration printed."""
    folder = tmp_path_factory.mktemp("demo")
    told = folder / "told.txt"
    environment = {
        key: value for key, value in os.environ.items() if not key.startswith("TRAINER_")
    }
    with told.open("w") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "trainer.cli", "demo", "--port", "0"],
            stdout=out,
            stderr=subprocess.STDOUT,
            cwd=Path(__file__).parent.parent.parent,
            env={**environment, "PYTHONUNBUFFERED": "1", "TMPDIR": str(folder)},
            start_new_session=True,
        )
    try:
        _wait_until_it_answers(process, told)
        yield told.read_text(encoding="utf-8")
    finally:
        os.killpg(process.pid, signal.SIGINT)
        try:
            process.wait(20)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait(10)


def _wait_until_it_answers(process: subprocess.Popen[bytes], told: Path) -> None:
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        assert process.poll() is None, told.read_text(encoding="utf-8")
        address = re.search(r"(http://127\.0\.0\.1:\d+)/check", told.read_text(encoding="utf-8"))
        if address:
            try:
                with urllib.request.urlopen(f"{address.group(1)}/check", timeout=5) as answer:  # noqa: S310
                    assert answer.status == 200
                    return
            except OSError:
                pass
        time.sleep(0.3)
    raise AssertionError(told.read_text(encoding="utf-8"))


@pytest.mark.slow
def test_the_printed_link_leads_to_the_trainees_job_card(demo: str) -> None:
    link = re.search(r"trainee: Delphine Marrowick\s+(http://\S+)", demo)
    assert link, demo
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
    page = opener.open(link.group(1), timeout=20).read().decode()
    token = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', page)
    assert token, page
    body = urlencode({"csrf_token": token.group(1), "then": "enter"}).encode()
    card = opener.open(link.group(1), data=body, timeout=20).read().decode()
    assert "<h1>Job card</h1>" in card
    assert "Delphine Marrowick" in card
    again = opener.open(link.group(1), timeout=20).read().decode()
    assert "Job card</h1>" not in again


@pytest.mark.slow
def test_every_role_gets_a_link_and_a_password_of_its_own(demo: str) -> None:
    for role in (
        "trainee",
        "supervisor",
        "trainer",
        "second reader",
        "scheme administrator",
        "decision maker",
        "auditor",
    ):
        assert f"  {role}: " in demo
    passwords = re.findall(r"password (\S+)", demo)
    assert len(passwords) == len(set(passwords)) >= 8
