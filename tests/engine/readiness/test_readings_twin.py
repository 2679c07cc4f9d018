"""Readings and judgements against the rules written out slowly, on random curricula."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from engine.progression import AllOf, AnyOf, Leaf
from engine.readiness.judge import judge
from engine.readiness.parameters import DEFAULTS, HELP
from engine.readiness.readings import Needs, Readings
from tests.engine.readiness.build import distributions
from tests.engine.readiness.cards import seen, skill

ROLES = ("base", "flyer")


def trees(leaves):
    return st.recursive(
        leaves,
        lambda parts: st.builds(
            lambda kind, children: kind(tuple(children)),
            st.sampled_from([AllOf, AnyOf]),
            st.lists(parts, min_size=1, max_size=3),
        ),
        max_leaves=5,
    )


@st.composite
def curricula(draw):
    """Skills whose trees ask only for skills before them, some of them habits."""
    found = {}
    for number in range(draw(st.integers(1, 7))):
        key = f"skill {number}"
        needs = st.none()
        if found:
            leaf = st.builds(
                Leaf,
                st.sampled_from(sorted(found)),
                st.sampled_from(ROLES),
                st.sampled_from(HELP[1:]),
            )
            needs = st.one_of(st.none(), trees(leaf), trees(leaf))
        roles = {role: draw(needs) for role in ROLES}
        found[key] = skill(key, roles, habit=draw(st.integers(0, 5)) == 0)
    return found


@st.composite
def children(draw):
    """A curriculum and one child's evidence in it."""
    curriculum = draw(curricula())
    keys = [(name, role) for name in curriculum for role in ROLES]
    tried = draw(st.lists(st.sampled_from(keys), unique=True))
    return curriculum, {
        key: seen(
            draw(distributions(4)),
            days_ago=draw(st.integers(0, 90)),
            counted=draw(st.integers(0, 6)),
            cleans=draw(st.integers(0, 1)),
        )
        for key in tried
    }


def certain_leaves(tree):
    """The leaves of which none may be lacking."""
    if tree is None or isinstance(tree, AnyOf):
        return []
    if isinstance(tree, Leaf):
        return [tree]
    return [leaf for part in tree.parts for leaf in certain_leaves(part)]


def everything_below(curriculum, key):
    """All leaves reached on paths of certain leaves, habits and what lies behind them left out."""
    found = []
    for leaf in certain_leaves(curriculum[key[0]].roles[key[1]].needs):
        if not curriculum[leaf.skill].habit:
            found += [leaf, *everything_below(curriculum, (leaf.skill, leaf.role))]
    return found


def slow_at_or_above(curriculum, evidence, name, role, help_needed):
    level = HELP.index(help_needed)
    own = evidence.get((name, role))
    tried = own is not None and own.belief.counted > 0
    if curriculum[name].habit:
        return 1.0 if tried and own.belief.last_clean_on != (None, None, None) else 0.0
    candidates = [sum((own.state if tried else DEFAULTS.prior)[level:])]
    for key, other in evidence.items():
        if other.belief.counted > 0 and not curriculum[key[0]].habit:
            for leaf in everything_below(curriculum, key):
                if (leaf.skill, leaf.role) == (name, role) and HELP.index(leaf.help) >= level:
                    candidates.append(other.state[3])
    return max(candidates)


def slow_deciding(tree, p_of):
    if isinstance(tree, Leaf):
        return tree
    best = None
    for part in tree.parts:
        leaf = slow_deciding(part, p_of)
        if best is None or (
            p_of(leaf) < p_of(best) if isinstance(tree, AllOf) else p_of(leaf) > p_of(best)
        ):
            best = leaf
    return best


@given(children(), st.sampled_from([0.0, 0.2, 0.4, 0.8, 1.0]))
def test_readings_and_judgements_are_as_the_rules_say(child, bar):
    curriculum, evidence = child
    readings = Readings(Needs(curriculum), evidence, DEFAULTS)

    def p_of(leaf):
        return readings.at_or_above(leaf.skill, leaf.role, leaf.help)

    for name, card in curriculum.items():
        for role, needs in ((role, card.roles[role].needs) for role in ROLES):
            for help_needed in HELP[1:]:
                slow = slow_at_or_above(curriculum, evidence, name, role, help_needed)
                assert abs(readings.at_or_above(name, role, help_needed) - slow) < 1e-12
            found = judge(name, role, readings, bar)
            own = evidence.get((name, role))
            if own is not None and own.belief.counted == 0:
                own = None
            assert found.evidence is own
            own_chance = 0.0 if own is None else sum(reversed(own.state[1:]))
            if own is not None and card.habit:
                own_chance = float(own.belief.clean_unspotted > 0)
            if own is not None and own_chance >= bar:
                assert (found.ready, found.source, found.missing) == (True, "own", None)
                assert abs(found.number - own_chance) < 1e-12
            elif needs is None:
                assert (found.ready, found.source, found.missing) == (True, "no_tree", None)
                assert found.number == 1
            else:
                leaf = slow_deciding(needs, p_of)
                assert (found.number, found.source) == (p_of(leaf), "tree")
                assert found.ready is (found.number >= bar)
                assert (found.missing is None) is found.ready
                if found.missing is not None:
                    other = evidence.get((leaf.skill, leaf.role))
                    tries = 0 if other is None else other.belief.counted
                    assert (found.missing.leaf, found.missing.p) == (leaf, p_of(leaf))
                    assert found.missing.counted == tries
                    assert found.missing.last_at == (other.belief.last_at if tries else None)


@given(children())
def test_one_edition_laid_out_serves_many_children(child):
    curriculum, evidence = child
    needs = Needs(curriculum)
    alone = Readings(needs, evidence, DEFAULTS)
    Readings(needs, {}, DEFAULTS)
    again = Readings(needs, dict(reversed(evidence.items())), DEFAULTS)
    for name, card in curriculum.items():
        for role in card.roles:
            for bar in (0.3, 0.8):
                assert judge(name, role, alone, bar) == judge(name, role, again, bar)
