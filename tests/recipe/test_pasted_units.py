"""A slip of unit in a pasted text is told, and the recipe is read all the same."""

from __future__ import annotations

from fellfare.files.shipped import shipped_pantry
from fellfare.recipe.pasted import read_pasted

PANTRY = shipped_pantry()


def test_a_teaspoon_of_fifteen_millilitres_is_doubted() -> None:
    # Printed so in a public substitution list beside '1 teaspoon (5 mL)'.
    text = "Spiced couscous\n90 g couscous\n1 teaspoon (15 mL) ground cumin\n"
    pasted = read_pasted(text, PANTRY)
    assert [finding.rule for finding in pasted.findings] == ["beside-mismatch"]
    assert "tbsp" in pasted.findings[0].text
    assert not pasted.refused


def test_a_text_without_slips_raises_no_doubt() -> None:
    text = "Spiced couscous\n90 g couscous\n1 teaspoon (5 mL) ground cumin\n"
    assert read_pasted(text, PANTRY).findings == ()
