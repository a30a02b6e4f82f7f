"""Lines of a drawing joined at their ends into closed rings."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import KDTree

from rimfea.arrays import Bools, Floats, Ints
from rimfea.errors import SectionError
from rimfea.traced.drawing import Trail

SAME_MM = 1e-3  # points this near to one another are one point
LARGEST_GAP_MM = 0.05
NOWHERE = -1


def closed(trails: Sequence[Trail]) -> tuple[list[Trail], list[str]]:
    """The lines as closed ones, and what was done for it: lines drawn twice and points drawn twice
    dropped, ends joined that lie within 0.05 mm of one another.

    Raises :class:`~rimfea.errors.SectionError` at a free end, and where more than two ends meet.
    """
    tidy, told = _tidied(trails)
    rings = [each for each in tidy if each.is_closed]
    pieces = _joined([each for each in tidy if not each.is_closed], SAME_MM)[0]
    rings += [each for each in pieces if each.is_closed]
    pieces = [each for each in pieces if not each.is_closed]
    pieces, gaps = _joined(pieces, LARGEST_GAP_MM)
    told += [f"closed a gap of {gap:.3f} mm at x = {x:.2f}, y = {y:.2f} mm" for gap, x, y in gaps]
    still_open = [each for each in pieces if not each.is_closed]
    if still_open:
        raise _open(still_open)
    return rings + _tidied(pieces)[0], told


def _tidied(trails: Sequence[Trail]) -> tuple[list[Trail], list[str]]:
    """Without points and lines that are there twice."""
    slim = [_slim(each) for each in trails]
    lost = sum(len(each.bulge) for each in trails) - sum(len(each.bulge) for each in slim)
    real = [each for each in slim if len(each.bulge) > 1]
    first: dict[object, Trail] = {}
    for each in real:
        first.setdefault(_key(each), each)
    once = list(first.values())
    told = [f"dropped {_count(lost, 'point')} drawn twice"] if lost else []
    twice = len(real) - len(once)
    return once, told + ([f"dropped {_count(twice, 'line')} drawn twice"] if twice else [])


def _slim(line: Trail) -> Trail:
    """Without the corners that lie on the one before."""
    points = line.corners
    keep = _kept(points)
    if line.is_closed and keep.sum() > 1 and _is_one(points[0], points[np.flatnonzero(keep)[-1]]):
        keep[0] = False
    if keep.all():
        return line
    # The edge to a corner that stays is the last one before it.
    last = np.append(np.flatnonzero(keep)[1:], len(points) + np.flatnonzero(keep)[0]) - 1
    bulge = line.bulge[last % len(points)]
    if not line.is_closed:
        bulge[-1] = 0.0
    return Trail(points[keep], bulge, line.where[keep], line.is_closed)


def _kept(points: Floats) -> Bools:
    """Which corners (p,) lie away from the last that does."""
    keep = np.ones(len(points), dtype=bool)
    if (np.linalg.norm(np.diff(points, axis=0), axis=1) > SAME_MM).all():
        return keep
    last = points[0]
    for k, point in enumerate(points[1:], 1):
        keep[k] = not _is_one(point, last)
        last = point if keep[k] else last
    return keep


def _is_one(point: Floats, other: Floats) -> bool:
    return bool(np.hypot(*(point - other)) <= SAME_MM)


def _key(line: Trail) -> tuple[object, ...]:
    """The same for lines that lie on one another, whichever way they run."""
    rounded = np.round(np.column_stack([line.corners, 0 * line.bulge]) / SAME_MM).astype(np.int64)
    middles = _middles(line)
    there = np.vstack([rounded[:, :2], np.round(middles / SAME_MM).astype(np.int64)])
    return (line.is_closed, tuple(sorted(map(tuple, there.tolist()))))


def _middles(line: Trail) -> Floats:
    """The middles of the edges."""
    last = None if line.is_closed else -1
    start, end = line.corners[:last], np.roll(line.corners, -1, axis=0)[:last]
    chord = end - start
    aside = np.column_stack([chord[:, 1], -chord[:, 0]])
    return np.asarray((start + end) / 2 + line.bulge[:last, None] * aside / 2)


def _joined(
    trails: Sequence[Trail], gap_mm: float
) -> tuple[list[Trail], list[tuple[float, float, float]]]:
    """Lines walked from end to end where two ends lie within the gap, and the gaps with their
    places.
    """
    if not trails:
        return [], []
    ends = np.vstack([each.ends for each in trails])  # of line k: 2k and 2k + 1
    partner = _partners(ends, gap_mm, trails)
    left = set(range(len(trails)))
    found: list[Trail] = []
    while left:
        chain = _chain(min(left), partner)
        left -= {end // 2 for end in chain}
        found.append(_strung(trails, chain, partner))
    here = np.flatnonzero(partner > np.arange(len(partner)))
    pairs = np.column_stack([here, partner[here]])
    apart = np.linalg.norm(ends[pairs[:, 0]] - ends[pairs[:, 1]], axis=1)
    middle = (ends[pairs[:, 0]] + ends[pairs[:, 1]]) / 2
    gaps = [(float(g), float(x), float(y)) for g, (x, y) in zip(apart, middle, strict=True)]
    return found, gaps


def _partners(ends: Floats, gap_mm: float, trails: Sequence[Trail]) -> Ints:
    """To which end (2k,) each is joined, or nowhere."""
    pairs = KDTree(ends).query_pairs(gap_mm, output_type="ndarray")
    links = coo_array((np.ones(len(pairs)), pairs.T), shape=(len(ends),) * 2)
    group = connected_components(links, directed=False)[1].astype(np.int64)
    size = np.bincount(group)
    if (size > 2).any():
        raise _forked(ends, group, int(np.argmax(size)), trails)
    partner = np.full(len(ends), NOWHERE)
    order = np.argsort(group, kind="stable")
    paired = order[size[group[order]] == 2].reshape(-1, 2)
    partner[paired[:, 0]], partner[paired[:, 1]] = paired[:, 1], paired[:, 0]
    return partner


def _chain(start: int, partner: Ints) -> list[int]:
    """The ends at which the lines of a chain are entered, in the order of the walk."""
    entered, seen = 2 * start, {start}
    while partner[entered] != NOWHERE and partner[entered] // 2 not in seen:  # back to a free end
        entered = int(partner[entered]) ^ 1
        seen.add(entered // 2)
    chain = [entered]
    while True:
        on = int(partner[chain[-1] ^ 1])
        if on == NOWHERE or on == chain[0]:
            return chain
        chain.append(on)


def _strung(trails: Sequence[Trail], chain: Sequence[int], partner: Ints) -> Trail:
    """The lines of a chain as one; where two meet, in the middle between their ends."""
    parts = [trails[end // 2].turned_over() if end % 2 else trails[end // 2] for end in chain]
    is_closed = partner[chain[-1] ^ 1] == chain[0]
    corners = [part.corners.copy() for part in parts]
    for before, after in pairwise(corners):
        before[-1] = after[0] = (before[-1] + after[0]) / 2
    if is_closed:
        corners[-1][-1] = corners[0][0] = (corners[-1][-1] + corners[0][0]) / 2
    last = len(parts) - 1
    cut = [None if k == last and not is_closed else -1 for k in range(len(parts))]
    whole = Trail(
        np.vstack([each[:end] for each, end in zip(corners, cut, strict=True)]),
        np.concatenate([part.bulge[:end] for part, end in zip(parts, cut, strict=True)]),
        np.concatenate([part.where[:end] for part, end in zip(parts, cut, strict=True)]),
        is_closed=bool(is_closed),
    )
    return _slim(whole)


def _forked(ends: Floats, group: Ints, which: int, trails: Sequence[Trail]) -> SectionError:
    here = np.flatnonzero(group == which)
    x, y = ends[here].mean(axis=0)
    line, at = divmod(int(here[0]), 2)
    return SectionError(
        f"{len(here)} ends of lines meet",
        spots=[(float(x), float(y))],
        entity=str(trails[line].where[-at]),
        remedy="an outline has two: take out centre lines, dimensions and what is drawn inside",
    )


def _open(trails: Sequence[Trail]) -> SectionError:
    ends = np.vstack([each.ends for each in trails])
    apart = np.linalg.norm(ends[:, None] - ends[None], axis=2) if len(ends) < 2000 else None
    here, there = 0, 1
    if apart is not None:
        np.fill_diagonal(apart, np.inf)
        here, there = (int(k) for k in np.unravel_index(np.argmin(apart), apart.shape))
    gap = float(np.linalg.norm(ends[here] - ends[there]))
    line, at = divmod(here, 2)
    return SectionError(
        f"the outline is open: a gap of {gap:.2f} mm",
        spots=[(float(x), float(y)) for x, y in ends[[here, there]]],
        entity=str(trails[line].where[-at]),
        remedy=f"close it in the drawing; only gaps up to {LARGEST_GAP_MM:g} mm are closed here",
    )


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'s' if number != 1 else ''}"
