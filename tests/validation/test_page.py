from .page import GROUPS, PAGE, render


def test_the_validation_page_is_current() -> None:
    assert PAGE.read_text(encoding="utf-8") == render(), "run: python -m tools.validation_page"


def test_every_case_has_a_name_of_its_own() -> None:
    names = [case.name for _, cases in GROUPS for case in cases]
    assert len(names) == len(set(names))


def test_every_wrong_print_is_listed_among_what_disagrees() -> None:
    disagrees = render().split("## What disagrees")[1]
    wrong = [case.name for _, cases in GROUPS for case in cases if case.verdict == "wrong"]
    assert wrong
    assert all(f"- {name}," in disagrees for name in wrong)
