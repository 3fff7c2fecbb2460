"""`ropewright catalogue`: types, figures, sources, in both systems."""

import json
from pathlib import Path

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.cli import main


def test_every_type_is_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["catalogue"]) == 0
    out = capsys.readouterr().out
    listed = {line.split()[0] for line in out.splitlines() if line}
    assert set(load_catalogue()) <= listed
    assert "under a qualified person" in out
    assert max(map(len, out.splitlines())) <= 110


def test_one_type_has_figures_sources_and_confidence_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["catalogue", "descender-self-braking"]) == 0
    out = capsys.readouterr().out
    words = " ".join(out.split())
    assert "0.38–0.45, likely 0.41" in out
    assert "12.0 kN (2700 lbf)" in out
    assert "measured in a test" in out
    assert "planning assumption, no source" in out
    assert "strength: EN 12841, as summarised in training material." in words
    assert "passes rope one way only" in out
    assert "user-mass: Read the nameplate." in words
    assert "under a qualified person" in words


@pytest.mark.parametrize(("units", "has", "lacks"), [("us", "8090 lbf", "kN"), ("metric", "36.0 kN", "lbf")])
def test_one_system_alone(units: str, has: str, lacks: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["catalogue", "--units", units]) == 0
    table = capsys.readouterr().out.split("\n\n")[0]
    assert has in table
    assert lacks not in table


def test_json_is_in_si_with_not_known_as_null(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["catalogue", "lower-raise-device", "--json"]) == 0
    (kind,) = json.loads(capsys.readouterr().out)["types"]
    assert kind["figures"]["strength"]["value"] == {"low": 22000.0, "likely": 22000.0, "high": 22000.0}
    assert kind["figures"]["strength"]["unit"] == "N"
    assert kind["figures"]["user-mass"]["value"] is None
    assert kind["holding"]["one_way"] is True


def test_a_teams_own_file_is_laid_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = tmp_path / "tern-harbor.toml"
    own.write_text('[harness]\nuser-mass = "140 kg"\nsummary = "\\u202e\\u001b[31m"\n', "utf-8")
    assert main(["catalogue", "harness", "--team", str(own)]) == 0
    out = capsys.readouterr().out
    assert "140 kg (309 lb)" in out
    assert "stated by the team" in out
    assert "\u202e" not in out
    assert "\x1b" not in out
