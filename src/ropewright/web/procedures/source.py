"""What a procedure is worked out from: its text, the text of its rig, the rules of the team."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from ropewright.procedure import Procedure as Played
from ropewright.procedure import read_procedure
from ropewright.rig import Rig as ReadRig
from ropewright.rig import RigFileError
from ropewright.rig.faults import Fault
from ropewright.rig.yamltext import load_yaml
from ropewright.web.policy.now import TeamRules, rules_now, rules_numbered
from ropewright.web.procedures.models import Procedure
from ropewright.web.rigs.models import Rig, RigVersion
from ropewright.web.workings.engine import catalogue, read_for_team

__all__ = ["RIG_ENDING", "Source", "called_rig", "rig_texts", "source_of", "sources_of"]

RIG_ENDING = ".rig.yaml"


@dataclass(frozen=True, slots=True)
class Source:
    """Texts and rules. ``rigs`` holds the rig's text by the name that the procedure calls it; none where
    there is no such rig. ``file`` is what the text is called on paper.
    """

    text: str
    rigs: Mapping[str, str]
    rules: TeamRules
    file: str = ""

    @property
    def parts(self) -> tuple[object, ...]:
        """What every result of it follows from."""
        return (self.text, dict(self.rigs), self.rules.number, self.rules.name)

    @property
    def asked(self) -> dict[str, Any]:
        """The same as plain values, for work beside the server."""
        return {
            "text": self.text,
            "rigs": dict(self.rigs),
            "rules": self.rules.number,
            "file": self.file,
        }

    @classmethod
    def again(cls, asked: Mapping[str, Any]) -> Source:
        """The source from those plain values."""
        return cls(asked["text"], asked["rigs"], rules_numbered(asked["rules"]), asked["file"])

    def read(self) -> Played:
        """The procedure, with the team's rules and its own words. Errors: RigFileError."""
        found = read_procedure(self.text, catalogue(), self._rig)
        return replace(found, words={**self.rules.words, **found.words})

    def _rig(self, name: str) -> ReadRig:
        text = self.rigs.get(name)
        if text is None:
            right = f"name one of the library, as in `haul-3-1{RIG_ENDING}`"
            raise RigFileError([Fault(1, 1, "", f"the library has no rig of that name; {right}")], name)
        return read_for_team(text, self.rules)


def called_rig(text: str) -> str:
    """The rig file that a procedure's text names, empty where it names none or can't be followed."""
    try:
        value = load_yaml(text, "procedure file").value
    except RigFileError:
        return ""
    name = value.get("from") if isinstance(value, dict) else None
    return name if isinstance(name, str) else ""


def rig_texts(slugs: Iterable[str]) -> dict[str, str]:
    """The current texts of rigs, by slug: one query for all."""
    from django.db.models import F

    found = RigVersion.objects.filter(file__slug__in=set(slugs), number=F("file__latest"))
    return dict(found.values_list("file__slug", "text"))


def source_of(text: str, file: str = "", rules: TeamRules | None = None) -> Source:
    """The source of a text, its rig looked up in the library."""
    name = called_rig(text)
    texts = rig_texts([name.removesuffix(RIG_ENDING)]) if name.endswith(RIG_ENDING) else {}
    rigs = {f"{slug}{RIG_ENDING}": found for slug, found in texts.items()}
    return Source(text, rigs, rules or rules_now(), file)


def sources_of(procedures: Iterable[Procedure], rules: TeamRules) -> dict[int, Source]:
    """The sources of the current versions of procedures, by their keys: two queries for all of them."""
    from django.db.models import F

    from ropewright.web.procedures.models import ProcedureVersion

    listed = list(procedures)
    texts = dict(
        ProcedureVersion.objects.filter(file__in=listed, number=F("file__latest")).values_list(
            "file_id", "text"
        )
    )
    rigs = rig_texts(p.rig_slug for p in listed)
    out = {}
    for p in listed:
        rig = rigs.get(p.rig_slug)
        named = {} if rig is None else {f"{p.rig_slug}{RIG_ENDING}": rig}
        out[p.pk] = Source(texts.get(p.pk, ""), named, rules)
    return out


def rig_of_name(name: str) -> Rig | None:
    """The rig that a procedure calls so."""
    return Rig.objects.filter(slug=name.removesuffix(RIG_ENDING)).first() if name else None
