"""Mixes by parts: the volume of each, and what is missing for it."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.costing import cash_to_come, consumption
from logbook.costing.mixes import MixPart, amounts_of_mix
from logbook.model.words import MixBy
from logbook.model.work import ConsumableUse, MixShare, UseTerm
from tests.builders import consumable, shop, unit


def parts(*of: tuple[str, str, str | None]) -> list[MixPart]:
    return [MixPart(name, Decimal(number), Decimal(d) if d else None) for name, number, d in of]


def mix(amount: str, of_unit: str, by: str, main: str | None, *more: tuple[str, str]) -> ConsumableUse:
    return ConsumableUse(
        code="U1",
        consumable="finish",
        unit=of_unit,
        terms=(UseTerm(what="show faces", amount=Decimal(amount)),),
        parts=Decimal(main) if main else None,
        parts_by=MixBy(by),
        mixed_with=tuple(MixShare(consumable=name, parts=Decimal(number)) for name, number in more),
    )


@pytest.mark.parametrize(
    ("total", "unit_", "by", "of", "amounts"),
    [
        ("200", "ml", "volume", [("finish", "3", None), ("thinner", "1", None)], ["150", "50"]),
        ("145", "g", "mass", [("resin", "100", None), ("hardener", "45", None)], ["100", "45"]),
        # 100 g of resin at 1.25 g/ml is 80 ml, 45 g of hardener at 0.9 is 50 ml: worked by hand
        ("130", "ml", "mass", [("resin", "100", "1.25"), ("hardener", "45", "0.9")], ["80", "50"]),
        # 2 ml at 1.2 and 1 ml at 0.9 weigh 2.4 g and 0.9 g: worked by hand
        ("33", "g", "volume", [("resin", "2", "1.2"), ("hardener", "1", "0.9")], ["24", "9"]),
        ("6", "l", "volume", [("a", "1", None), ("b", "2", None), ("c", "3", None)], ["1", "2", "3"]),
    ],
)
def test_the_amount_of_each(total: str, unit_: str, by: str, of: list, amounts: list[str]) -> None:
    assert amounts_of_mix(Fraction(total), unit_, MixBy(by), parts(*of)) == ([Fraction(a) for a in amounts], "")


@given(
    st.fractions(min_value=0, max_value=10**4, max_denominator=50),
    st.sampled_from(["ml", "g", "kg", "l"]),
    st.sampled_from(list(MixBy)),
    st.lists(st.tuples(st.decimals("0.1", 100, places=1), st.decimals("0.5", "2.5", places=2)), min_size=1, max_size=4),
)
def test_the_parts_add_up_to_the_mix_exactly(total: Fraction, unit_: str, by: MixBy, of: list) -> None:
    made = [MixPart(f"part {i}", number, density) for i, (number, density) in enumerate(of)]
    amounts, wrong = amounts_of_mix(total, unit_, by, made)
    assert (sum(amounts), wrong) == (total, "")
    if by == ("mass" if unit_ in ("g", "kg") else "volume"):
        for one, amount in zip(made, amounts, strict=True):
            assert amount * Fraction(made[0].parts) == amounts[0] * Fraction(one.parts), "in the ratio of the parts"


@pytest.mark.parametrize(
    ("unit_", "by", "of", "says"),
    [
        ("", "volume", [("finish", "3", None), ("thinner", "1", None)], "counted in a unit like ml or g"),
        ("ml", "volume", [("finish", "3", None), ("thinner", "0", None)], "The parts of thinner"),
        ("ml", "mass", [("resin", "2", "1.1"), ("hardener", "1", None)], "the density of hardener is not known"),
    ],
)
def test_what_is_missing_for_a_mix_is_said(unit_: str, by: str, of: list, says: str) -> None:
    amounts, wrong = amounts_of_mix(Fraction(1), unit_, MixBy(by), parts(*of))
    assert amounts == []
    assert says in wrong


def test_a_mix_in_a_unit_is_one_need_for_each_with_its_own_pack() -> None:
    shelf = [
        consumable("finish", 0, ("250", "11.00"), unit="ml"),
        consumable("thinner", 60, ("500", "6.00"), unit="ml"),
    ]
    of_unit = unit(consumables=[mix("200", "ml", "volume", "3", ("thinner", "1"))])
    finish, thinner = consumption(of_unit, shop(shelf=shelf))
    assert (finish.need, finish.packs, finish.used_up) == (150, 1, Decimal("6.60"))
    assert (thinner.need, thinner.packs, thinner.used_up) == (50, 0, Decimal("0.60")), "60 ml are in stock"
    assert "finish 3 : thinner 1 by volume: 150 ml" in finish.how
    assert cash_to_come(of_unit, shop(shelf=shelf)).likely == Decimal("11.00")


def test_a_mix_counted_in_grams_takes_each_from_its_tin_in_millilitres() -> None:
    shelf = [
        consumable("finish", 0, ("500", "20.00"), unit="ml", density=Decimal("1.25")),
        consumable("hardener", 0, ("100", "9.00"), unit="ml", density=Decimal("0.9")),
    ]
    finish, hardener = consumption(
        unit(consumables=[mix("145", "g", "mass", "100", ("hardener", "45"))]), shop(shelf=shelf)
    )
    assert (finish.need, hardener.need) == (80, 50)


def test_a_mix_without_its_own_parts_is_not_computed_and_says_so() -> None:
    needs = consumption(unit(consumables=[mix("200", "ml", "volume", None, ("thinner", "1"))]), shop())
    assert [n.need for n in needs] == [None, None]
    assert "its own parts of the mix are not written down" in needs[0].problems[0]
