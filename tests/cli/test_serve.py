"""`ropewright serve`: what it refuses before it listens."""

from __future__ import annotations

from pathlib import Path

import pytest

from ropewright.cli import main


@pytest.fixture(autouse=True)
def _own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ROPEWRIGHT_HOME", str(tmp_path))


def test_other_machines_are_let_in_only_by_a_production(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["serve", "--host", "0.0.0.0"]) == 2
    assert "set ROPEWRIGHT_MODE=production" in capsys.readouterr().err


def test_a_production_serves_no_demo(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ROPEWRIGHT_MODE", "production")
    monkeypatch.setenv("ROPEWRIGHT_HOSTS", "rigs.example.org")
    monkeypatch.setenv("ROPEWRIGHT_KEY", "q8Vb2Zr7Lx0Wc5Nf1Tj9Pm4Ds6Gh3Ky8Ub2Ea7Ri0Oc5Qv1Xw9")
    assert main(["serve", "--demo"]) == 2
    assert "production refuses it" in capsys.readouterr().err


def test_a_production_without_a_key_does_not_start(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ROPEWRIGHT_MODE", "production")
    monkeypatch.setenv("ROPEWRIGHT_HOSTS", "rigs.example.org")
    assert main(["serve"]) == 2
    assert "ROPEWRIGHT_KEY is missing" in capsys.readouterr().err
