"""Trade rules: facts, comparisons, verdicts, and the sentences about rules that cannot be applied."""

from dataclasses import replace

import pytest

from laydown.domain.colour import Colour
from laydown.domain.fibre import FIBRES
from laydown.domain.garment import Dye, Structure
from laydown.domain.ink import Blocker, Viscosity
from laydown.domain.order import Care
from laydown.domain.rule import Condition, Effect, Rule
from laydown.domain.stack import Role
from laydown.errors import InvalidInput
from laydown.models.cloth import describe_cloth
from laydown.planning.facts import FACTS, STACK_FACTS, Setting
from laydown.planning.rules.apply import judge, relevant
from laydown.planning.rules.check import TESTS, check_rules
from laydown.services.shelves import open_shop
from small_shop import (
    a_print,
    additive,
    barrier,
    blocking_white,
    colour,
    flashed_twice,
    garment,
    nylon_white,
    order,
    poly_white,
    polyester,
    printed,
    q,
    reducer,
    shop,
    smoothing,
    stack,
    tri_blend,
    white,
)

FACT = {fact.name: fact for fact in FACTS}


def setting(of=None, passes=None, **changes):
    asked = order(of or garment(), **changes)
    return Setting(
        shop=shop(),
        order=asked,
        print_=asked.prints[0],
        cloth=describe_cloth(asked.garment),
        stack=passes or stack(),
    )


def value(name, *args, **more):
    return FACT[name].of(setting(*args, **more))


def rule(name="a rule", effect=Effect.FORBID, when=(("quantity", "at least", 1.0),), must=(), **changes):
    def conditions(given):
        return tuple(Condition(fact=f, test=t, value=v) for f, t, v in given)

    fields = {"reason": "because", "source": "test", "where": "rules.toml, rule 3"}
    return Rule(name=name, effect=effect, when=conditions(when), must=conditions(must), **(fields | changes))


# --- facts ---------------------------------------------------------------------------------------------------------


def test_facts_have_names_of_their_own_and_kinds_that_tests_know():
    assert len(FACT) == len(FACTS)
    assert {fact.kind for fact in FACTS} == set(TESTS)
    assert all(fact.meaning for fact in FACTS)


def test_every_fact_has_a_value_of_its_kind_for_every_stack():
    kinds = {"number": (int, float), "yes or no": bool, "text": str, "set": frozenset}
    stacks = (
        stack(),
        flashed_twice(blocking_white()),
        stack(printed(colour(), "120/34", Role.COLOUR)),
        stack(printed(barrier(), role=Role.BARRIER, flash=True), smoothing(), printed(poly_white())),
        stack(printed(additive=additive(), additive_share=0.2)),
    )
    for of in (garment(), polyester(), tri_blend()):
        for passes in stacks:
            for fact in FACTS:
                assert isinstance(fact.of(setting(of, passes)), kinds[fact.kind]), fact.name


@pytest.mark.parametrize("fibre", FIBRES)
def test_the_share_of_every_fibre_is_a_fact(fibre):
    assert value(fibre, garment({fibre: 1.0})) == 1.0
    assert value(fibre, garment({("wool" if fibre != "wool" else "silk"): 1.0})) == 0.0


def test_facts_of_the_cloth():
    cloth = garment(
        {"polyester": 0.5, "cotton": 0.42, "elastane": 0.08},
        structure=Structure.RIB,
        dye=Dye.DISPERSE_LOW,
        colour=Colour(lab=(60.0, 3.0, 4.0)),
        stretch=q(0.9),
    )

    assert value("fibres", cloth) == 2.0
    assert value("structure", cloth) == "rib"
    assert value("dye", cloth) == "disperse, low energy"
    assert value("dye migrates", cloth) is True
    assert value("lightness", cloth) == pytest.approx(60, abs=1e-3)
    assert value("chroma", cloth) == pytest.approx(5, abs=1e-3)
    assert value("earth tone", cloth) is False
    assert value("stretch", cloth) == 0.9
    assert value("fibrous", cloth) is describe_cloth(cloth).fibrous
    assert value("coated", cloth) is False
    assert value("history", cloth) == "tested"


def test_facts_of_the_order():
    asked = {"quantity": 72, "care": Care(stack_hot=True), "prints": (a_print(("white", 0.3), ruling=2000.0),)}

    assert value("quantity", **asked) == 72.0
    assert value("stacked hot", **asked) is True
    assert value("humidity", **asked) == 0.5
    assert value("halftone", **asked) is True
    assert value("coverage", **asked) == 0.3
    assert value("halftone") is False


def test_facts_of_a_stack_without_a_white():
    only = stack(printed(colour(), "120/34", Role.COLOUR))

    assert value("white", passes=only) == ""
    assert value("has white", passes=only) is False
    assert value("white blocks", passes=only) is False
    assert value("white blocker", passes=only) == "none"
    assert value("white capacity", passes=only) == 0.0
    assert value("white toughness", passes=only) == 5.0
    assert value("white viscosity", passes=only) == ""
    assert value("white reducible", passes=only) is True
    assert value("white elongation", passes=only) == 10.0
    assert (value("white mesh", passes=only), value("white hits", passes=only)) == (0.0, 0.0)


def test_facts_of_a_white():
    used = blocking_white(viscosity=Viscosity.THICK, blocker=Blocker.BINDING, toughness=4, elongation=q(0.65))
    two = stack(printed(used, "61/64", hits=2))

    assert value("white", passes=two) == "Blocking White"
    assert value("has white", passes=two) is True
    assert value("white blocks", passes=two) is True
    assert value("white blocker", passes=two) == "binding"
    assert value("white capacity", passes=two) == 0.04
    assert value("white toughness", passes=two) == 4.0
    assert value("white viscosity", passes=two) == "thick"
    assert value("white reducible", passes=two) is False
    assert value("white elongation", passes=two) == 0.65
    assert value("white mesh", passes=two) == pytest.approx(61 * 2.54)
    assert value("white hits", passes=two) == 2.0


def test_facts_of_passes():
    down = printed(barrier(), "61/64", Role.BARRIER, flash=True)
    whole = stack(down, printed(role=Role.UNDERBASE, flash=True), smoothing(), printed())

    assert value("barrier", passes=whole) is True
    assert value("barrier flashed", passes=whole) is True
    assert value("barrier flashed", passes=stack(replace(down, flash_after=False), printed())) is False
    assert value("barrier flashed") is False
    assert value("smoothing pass", passes=whole) is True
    assert value("flashes", passes=whole) == 2.0
    assert value("passes", passes=whole) == 4.0


def test_what_is_stirred_in_is_told_by_its_share():
    mixed = stack(printed(additive=additive(), additive_share=0.2, flash=True), printed())
    thinned = stack(printed(additive=reducer(), additive_share=0.05))

    assert value("stretch additive", passes=mixed) == 0.2
    assert value("reducer", passes=mixed) == 0.0
    assert value("reducer", passes=thinned) == 0.05


def test_the_bonds_of_the_first_ink_are_a_set():
    assert value("first ink bonds to", passes=stack(printed(nylon_white()), printed())) == {
        "nylon",
        "polyester",
        "coated",
    }


# --- verdicts ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fact", "test", "against", "holds"),
    [
        ("quantity", "is", 100.0, True),
        ("quantity", "is not", 100.0, False),
        ("quantity", "at least", 100.0, True),
        ("quantity", "at most", 100.0, True),
        ("quantity", "above", 100.0, False),
        ("quantity", "below", 100.0, False),
        ("quantity", "above", 99.0, True),
        ("quantity", "below", 101.0, True),
        ("structure", "is", "jersey", True),
        ("structure", "any of", ("rib", "jersey"), True),
        ("structure", "none of", ("rib", "jersey"), False),
        ("structure", "none of", ("rib",), True),
        ("coated", "is", False, True),
        ("coated", "is not", False, False),
        ("first ink bonds to", "contains", "cotton", True),
        ("first ink bonds to", "contains", "nylon", False),
        ("first ink bonds to", "lacks", "nylon", True),
    ],
)
def test_every_comparison(fact, test, against, holds):
    asked = rule(when=((fact, test, against),))

    check_rules((asked,))
    assert (judge((asked,), setting()).struck_by is asked) is holds


def test_a_rule_applies_only_when_all_of_its_conditions_hold():
    both = rule(when=(("quantity", "at least", 1.0), ("coated", "is", True)))

    assert judge((both,), setting()).struck_by is None
    assert judge((both,), setting(garment(coated=True))).struck_by is both


def test_a_requirement_strikes_when_any_of_it_is_missed():
    needs = rule(
        effect=Effect.REQUIRE,
        when=(("quantity", "at least", 1.0),),
        must=(("has white", "is", True), ("white blocks", "is", True)),
    )

    assert judge((needs,), setting()).struck_by is needs
    assert judge((needs,), setting(passes=flashed_twice(blocking_white()))).struck_by is None


@pytest.mark.parametrize("of", [None, polyester(dye=Dye.DISPERSE_MEDIUM)])
def test_rules_that_the_cloth_rules_out_are_asked_once_and_change_nothing(of):
    settings = [
        setting(of, passes)
        for passes in (stack(), flashed_twice(blocking_white()), stack(printed(colour(), "120/34", Role.COLOUR)))
    ]
    rules = open_shop().rules
    left = relevant(rules, settings[0])

    assert 0 < len(left) < len(rules)
    assert relevant(rules, settings[1]) == left
    assert [judge(left, one) for one in settings] == [judge(rules, one) for one in settings]


def test_facts_of_a_stack_are_known_as_such():
    assert all(fact.stack_fact for fact in STACK_FACTS)
    assert {fact.name for fact in FACTS if fact.stack_fact} == {fact.name for fact in STACK_FACTS}


def test_the_first_rule_against_a_stack_is_its_reason():
    first, second = rule("first"), rule("second")

    assert judge((first, second), setting()).struck_by is first
    assert judge((second, first), setting()).struck_by is second


def test_warnings_and_preferences_are_gathered_beside_it():
    warn, prefer = rule("careful", Effect.WARN), rule("better", Effect.PREFER, weight=0.03)
    more = rule("better still", Effect.PREFER, weight=0.02)

    verdict = judge((warn, rule(), prefer, more), setting())

    assert verdict.warnings == (warn,)
    assert verdict.preferred == (prefer, more)
    assert verdict.preference == pytest.approx(0.05)


# --- rules that cannot be applied ----------------------------------------------------------------------------------


def refused(asked):
    with pytest.raises(InvalidInput) as caught:
        check_rules((rule("fine"), asked))
    told = str(caught.value)
    assert told.startswith("rules.toml, rule 3: the rule 'a rule'")
    return told


def test_an_unknown_fact_is_told_with_the_likeliest_ones():
    told = refused(rule(when=(("polyster", "at least", 0.3),)))

    assert "unknown fact 'polyster'; did you mean 'polyester'" in told
    assert "laydown rules --facts" in told


def test_a_fact_like_no_other_is_told_without_a_guess():
    told = refused(rule(when=(("xqzzzzzzzzzzzz", "is", 1.0),)))

    assert "did you mean" not in told


@pytest.mark.parametrize(
    ("fact", "test", "against", "allowed"),
    [
        ("structure", "at least", "rib", "is, is not, any of, none of"),
        ("quantity", "contains", 3.0, "is, is not, at least, at most, above, below"),
        ("coated", "above", True, "is, is not"),
        ("first ink bonds to", "is", "nylon", "contains, lacks"),
    ],
)
def test_a_test_that_does_not_fit_the_fact_is_told_with_those_that_do(fact, test, against, allowed):
    told = refused(rule(when=((fact, test, against),)))

    assert f"{test!r} does not fit it; allowed are {allowed}" in told


@pytest.mark.parametrize(
    ("fact", "test", "against"),
    [
        ("quantity", "at least", "many"),
        ("quantity", "at least", True),
        ("coated", "is", 1.0),
        ("coated", "is", "yes"),
        ("structure", "is", 3.0),
        ("structure", "any of", "rib"),
        ("structure", "is", ("rib", "mesh")),
        ("first ink bonds to", "contains", True),
    ],
)
def test_a_value_of_another_kind_is_told(fact, test, against):
    assert "with another kind of value" in refused(rule(when=((fact, test, against),)))


def test_what_must_hold_is_checked_like_the_rest():
    told = refused(rule(effect=Effect.REQUIRE, must=(("baryer", "is", True),)))

    assert "did you mean 'barrier" in told


@pytest.mark.parametrize(
    ("condition", "told"),
    [
        (
            ("dye", "any of", ("camouflage", "sublimatd")),
            "'dye' is never 'sublimatd'; did you mean 'sublimated'? allowed",
        ),
        (
            ("structure", "is not", "Jersey"),
            "'structure' is never 'Jersey'; did you mean 'jersey'? allowed are 'jersey',",
        ),
        (("history", "is", "new"), "'history' is never 'new'; allowed are 'never printed', 'printed', 'tested'"),
        (("white blocker", "is", "peroxide"), "'white blocker' is never 'peroxide'; allowed are 'none', 'reactive'"),
        (("white viscosity", "none of", ("runny",)), "'white viscosity' is never 'runny'; allowed are 'thin',"),
        (("first ink bonds to", "contains", "rubber"), "'first ink bonds to' is never 'rubber'; allowed are"),
    ],
)
def test_a_word_that_a_fact_never_has_is_refused(condition, told):
    assert told in refused(rule(when=(condition,)))


def test_the_name_of_a_white_may_be_any():
    check_rules((rule(when=(("white", "is", "a white that the shop buys next year"),)),))


def test_a_rule_without_a_place_is_named_instead():
    with pytest.raises(InvalidInput, match=r"^rule 'lost': the rule 'lost' asks for the unknown fact"):
        check_rules((rule("lost", when=(("nothing such", "is", 1.0),), where=""),))


def test_a_switched_off_rule_is_checked_all_the_same():
    assert "unknown fact" in refused(rule(when=(("nothing such", "is", 1.0),), active=False))


def test_plain_white_is_the_usual_white_of_these_tests():
    assert not white().blocks
