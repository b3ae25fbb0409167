"""The compiled loops that judge rows of pieces and dangers, and say which of them count most.

Rows stand in the order of pieces and, of each piece, in that of dangers, each pair once.
"""

import math

from wheelover.core.arrays import Bools, Floats, Ints, Table
from wheelover.core.clearance.passing import LEAST_SEARCH_M
from wheelover.core.compiled import compiled

SAME_M = 1e-6
"""Between pieces that are equally near to a micrometre the one sailed first is taken."""


@compiled(
    "void(int64[::1],int64[::1],float64[::1],float64[::1],float64[::1],float64[:,::1],"
    "float64[:,::1],int64[:,::1],int64[:,::1],int64,float64[:,::1],int64[:,::1],bool_[:,::1])"
)
def judged_loop(
    piece: Ints, column: Ints, distance_m: Floats, unsure_m: Floats, own_m: Floats,
    limits_m: Table, rules_m: Table, sources: Ints, rules: Ints, own_source: int, found_m: Table,
    numbers: Ints, is_so: Bools,
) -> None:  # fmt: skip
    """Write what is left of each distance, which limit counts for it, and whether it is kept.

    ``unsure_m`` is the uncertainty of the position and ``own_m`` the limit of the danger itself,
    nan for none. ``found_m`` takes clearance, limit and margin, ``numbers`` the source of
    the limit and the rule, and ``is_so`` whether the limit is infringed and the rule missed.
    """
    for row in range(piece.size):
        one, cell = piece[row], column[row]
        limit_m, source = own_m[row], own_source
        if math.isnan(limit_m):
            limit_m, source = limits_m[one, cell], sources[one, cell]
        clearance_m = distance_m[row] - unsure_m[row]
        # Without a limit the track must still not lie on a danger.
        asked_m = 0.0 if math.isnan(limit_m) else limit_m
        found_m[0, row], found_m[1, row] = clearance_m, limit_m
        found_m[2, row] = clearance_m - asked_m
        numbers[0, row], numbers[1, row] = source, rules[one, cell]
        rule_m = rules_m[one, cell]
        # An undefined clearance is outside nothing.
        is_so[0, row] = not clearance_m > asked_m
        is_so[1, row] = not math.isnan(rule_m) and not clearance_m > rule_m


@compiled(
    "int64(int64[::1],int64[::1],float64[::1],float64[::1],float64[::1],float64[::1],int64[::1],"
    "bool_[::1],bool_[::1],int64[:,::1])"
)
def dangers_loop(
    order: Ints, hazard: Ints, distance_m: Floats, unsure_m: Floats, limit_m: Floats,
    margin_m: Floats, limit_source: Ints, infringed: Bools, is_nearest: Bools, listed: Ints,
) -> int:  # fmt: skip
    """Write of each danger that is listed the row of its nearest piece; return how many are.

    Beside it stands the row on which it is worst inside a limit that was given, -1 for none.
    ``order`` holds the rows by danger, those of each in their order, and ``is_nearest`` is set for
    the nearest row of every danger, listed or not.
    """
    count, start = 0, 0
    while start < order.size:
        nearest_m, stop = distance_m[order[start]], start + 1
        while stop < order.size and hazard[order[stop]] == hazard[order[start]]:
            nearest_m = min(nearest_m, distance_m[order[stop]])
            stop += 1
        nearest, worst = -1, -1
        for place in range(start, stop):
            row = order[place]
            if nearest < 0 and distance_m[row] <= nearest_m + SAME_M:
                nearest = row
            inside = infringed[row] and limit_source[row] >= 0
            if inside and (worst < 0 or margin_m[row] < margin_m[worst]):
                worst = row
        is_nearest[nearest] = True
        asked_m = 0.0 if math.isnan(limit_m[nearest]) else limit_m[nearest]
        listing_m = max(asked_m + unsure_m[nearest], LEAST_SEARCH_M)
        if distance_m[nearest] <= listing_m or worst >= 0:
            listed[0, count], listed[1, count] = nearest, worst
            count += 1
        start = stop
    return count


@compiled("int64(int64[::1],int64[::1],float64[::1],int64[::1],int64[::1],bool_[::1])")
def ranked_loop(
    order: Ints, piece: Ints, margin_m: Floats, places: Ints, ranked: Ints, equal: Bools
) -> int:  # fmt: skip
    """Write rows by piece, those of each by margin; return how many are equal to the one before.

    ``order`` holds all rows by margin, and ``places`` where the rows of each piece begin; it is
    used up. ``equal`` says of each row in its new place whether it is equal to the one before.
    """
    for place in range(order.size):
        row = order[place]
        ranked[places[piece[row]]] = row
        places[piece[row]] += 1
    count = 0
    for place in range(1, ranked.size):
        one, other = ranked[place - 1], ranked[place]
        equal[place] = piece[one] == piece[other] and margin_m[one] == margin_m[other]
        count += equal[place]
    return count


@compiled(
    "int64(int64[::1],int64[::1],float64[::1],bool_[::1],bool_[::1],bool_[::1],int64,int64,"
    "int64[::1],int64[:,::1])"
)
def few_loop(
    ranked: Ints, piece: Ints, margin_m: Floats, infringed: Bools, rule_missed: Bools,
    is_nearest: Bools, few: int, most: int, told: Ints, of_pieces: Ints,
) -> int:  # fmt: skip
    """Write the rows that matter most to each piece; return how many there are.

    ``of_pieces`` takes of each piece the row with the least margin, -1 for none, how many rows are
    inside their limit, and how many that would be told are left out.
    """
    count, rank, last, least_m = 0, 0, -1, 0.0
    for place in range(ranked.size):
        row = ranked[place]
        one = piece[row]
        if one != last:
            last, rank, least_m = one, 0, margin_m[row]
            of_pieces[0, one] = row
        amiss = infringed[row] or rule_missed[row]
        of_pieces[1, one] += infringed[row]
        if amiss or is_nearest[row] or margin_m[row] == least_m:
            if rank >= most and amiss:
                of_pieces[2, one] += 1
            elif rank < most and (amiss or rank < few):
                told[count] = row
                count += 1
            rank += 1
    return count


@compiled("int64(int64[::1],float64[::1],int64[::1],int64[::1])")
def sides_loop(group: Ints, near_m: Floats, nearest: Ints, others: Ints) -> int:
    """Write the row of each group that is nearest, the first of several; return how many others.

    ``others`` takes rows that were as near as the nearest before them. ``nearest`` comes in as -1.
    """
    count = 0
    for row in range(group.size):
        known = nearest[group[row]]
        if known < 0 or near_m[row] < near_m[known]:
            nearest[group[row]] = row
        elif near_m[row] == near_m[known]:
            others[count] = row
            count += 1
    return count
