"""People named in a procedure file."""

from __future__ import annotations

from pathlib import Path

import pytest

from ropewright.procedure import read_procedure
from ropewright.rig import RigFileError

from .shipped import FOLDER


def test_a_person_has_no_name_that_a_place_of_the_rig_has(tmp_path: Path) -> None:
    """Two parts of one name would be one in the model."""
    file = tmp_path / "twice.procedure.yaml"
    (tmp_path / "lane.rig.yaml").write_text((FOLDER / "lane-on-clamps.rig.yaml").read_text())
    file.write_text(
        "procedure: Twice\nfrom: lane.rig.yaml\n"
        "people:\n  balcony: {role: station instructor, at: balcony}\n"
        "steps:\n  - balcony: check upper\n"
    )
    with pytest.raises(RigFileError) as error:
        read_procedure(file)
    assert "`balcony` is a name of the rig already" in error.value.faults[0].text
