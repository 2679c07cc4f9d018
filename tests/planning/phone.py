"""A pair table as a phone reads it, by what its page says and by nothing else."""

from itertools import combinations, product

from planning.pair_table import ASK, FITS, STOP


def state_of(table, bases, flyers) -> str:
    for row in table.sets:
        if row.bases == tuple(sorted(bases)):
            wanted = tuple(sorted(flyers))
            return ASK if wanted in row.ask else STOP if wanted in row.stop else FITS
    return FITS


def proposable(table, seats) -> bool:
    """Whether a phone may propose this group; `seats` map a role to places of children."""
    held = {one.role: one.children for one in table.roles}
    members = [who for people in seats.values() for who in people]
    if not members or len(set(members)) != len(members):
        return False
    for role in table.roles:
        if not role.min <= len(seats.get(role.role, ())) <= role.max:
            return False
    if any(
        held[role][who].state == STOP or not held[role][who].ready
        for role, people in seats.items()
        for who in people
    ):
        return False
    if any({*pair} <= {*members} for pair in table.not_with):
        return False
    if any(len({*pair} & {*members}) == 1 for pair in table.only_with):
        return False
    if table.adults_a_group > table.adults:
        return False
    bases, flyers = seats.get("base", ()), seats.get("flyer", ())
    return not (bases and flyers) or state_of(table, bases, flyers) != STOP


def asks_of(table, seats) -> int:
    bases, flyers = seats.get("base", ()), seats.get("flyer", ())
    if not (bases and flyers) or state_of(table, bases, flyers) != ASK:
        return 0
    return sum(pair not in table.agreed for pair in product(bases, flyers))


def every_group(table):
    """All ways to seat at most four of the children."""
    roles = [None, *(role.role for role in table.roles)]
    for places in product(roles, repeat=len(table.children)):
        seats = {}
        for who, role in enumerate(places):
            if role:
                seats.setdefault(role, []).append(who)
        if sum(map(len, seats.values())) <= 4:
            yield seats


def worth(table, groups) -> tuple[int, int, int, int]:
    """What groups are worth, the more the better: placed, fairness, asks, repeats."""
    held = {one.role: one.children for one in table.roles}
    most = {
        role: max((one.turns for one in held[role] if one.ready and one.state != STOP), default=0)
        for role in ("base", "flyer")
        if role in held
    }
    seats = [(role, who) for group in groups for role, people in group.items() for who in people]
    past = {(one, other): count for one, other, count in table.past_pairs}
    together = [sorted(who for people in group.values() for who in people) for group in groups]
    repeats = sum(past.get(pair, 0) for people in together for pair in combinations(people, 2))
    return (
        len(seats),
        sum(most[role] - held[role][who].turns for role, who in seats if role in most),
        -sum(asks_of(table, group) for group in groups),
        repeats if table.keep_partners else -repeats,
    )


def regroup(table) -> tuple[int, int, int, int]:
    """What the best groups are worth, found by looking at all of them."""
    fitting = [group for group in every_group(table) if proposable(table, group)]
    whom = [{who for people in group.values() for who in people} for group in fitting]
    at_most = table.groups_at_most
    if table.adults_a_group:
        turns = table.adults * table.turns_under_one_spot
        at_most = min(at_most, turns // table.adults_a_group)

    def best(chosen, start, taken):
        found = [worth(table, [fitting[one] for one in chosen])]
        if len(chosen) < at_most:
            found += [
                best([*chosen, one], one + 1, taken | whom[one])
                for one in range(start, len(fitting))
                if not whom[one] & taken
            ]
        return max(found)

    return (0, 0, 0, 0) if table.stops else best([], 0, set())
