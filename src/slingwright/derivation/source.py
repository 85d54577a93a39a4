"""The derived equations written out as Python source: what the compiler is given.

Every expression is brought to a sum of `constant * product of sines, cosines and rates`.  The
constants depend on the dials alone and are worked out once a throw, so that what runs at every
step is short; they are listed with their formulas in the generated text.  Products of equal sines
are replaced by cosines (sin^2 = 1 - cos^2), shared parts are named once (cse), and the mass matrix
is taken apart by a written-out L D L^T that skips its zeros.
"""

from collections.abc import Mapping, Sequence

import sympy as sp

from slingwright.derivation import geometry
from slingwright.derivation.motion import Motion, Rows, derive, part_energies, part_forces
from slingwright.derivation.notation import (
    ACCELERATION,
    CONTACT,
    COORDINATE,
    LETTER,
    RATE,
    RUBBING,
    Kind,
)
from slingwright.machine.table.dials import MOVING_INDEX

Terms = dict[tuple[int, ...], sp.Expr]

_SINE = {name: sp.Symbol(f"sin_{name}", real=True) for name in ("e", "h", "s")}
_COSINE = {name: sp.Symbol(f"cos_{name}", real=True) for name in ("e", "h", "s")}
_TRIG = [sym for name in ("e", "h", "s") for sym in (_SINE[name], _COSINE[name])]
_MOVING = [
    *_TRIG,
    *RATE.values(),
    *ACCELERATION.values(),
    *(COORDINATE[name] for name in ("X", "x_b", "y_b")),
    CONTACT,
    RUBBING,
]
ELIMINATED = ("x_b", "y_b", "h", "s", "e", "X")
"""Coordinates in the order in which the mass matrix is taken apart: ends first, few are coupled."""
_SINE_AT = [_MOVING.index(_SINE[name]) for name in ("e", "h", "s")]


def _without_sine_squares(terms: Terms) -> Terms:
    """Replace every sin^2 by 1 - cos^2 until none is left."""
    for at in _SINE_AT:
        while any(powers[at] >= 2 for powers in terms):
            reduced: Terms = {}
            for powers, factor in terms.items():
                if powers[at] < 2:
                    reduced[powers] = reduced.get(powers, sp.Integer(0)) + factor
                    continue
                plain = list(powers)
                plain[at] -= 2
                squared = list(plain)
                squared[at + 1] += 2
                for key, sign in ((tuple(plain), 1), (tuple(squared), -1)):
                    reduced[key] = reduced.get(key, sp.Integer(0)) + sign * factor
            terms = reduced
    return {powers: sp.expand(f) for powers, f in terms.items() if sp.expand(f) != 0}


def terms(expression: sp.Expr) -> Terms:
    """Sum of products: powers of the moving symbols -> factor in the dials."""
    swap: dict[sp.Expr, sp.Symbol] = {}
    for name in ("e", "h", "s"):
        swap[sp.sin(COORDINATE[name])] = _SINE[name]
        swap[sp.cos(COORDINATE[name])] = _COSINE[name]
    plain = sp.sympify(expression).subs(swap)
    if plain == 0:
        return {}
    return _without_sine_squares(dict(sp.Poly(plain, *_MOVING).terms()))


class Writer:
    """Collects the constants of a module and writes its functions."""

    def __init__(self) -> None:
        self.constants: dict[sp.Expr, sp.Symbol] = {}

    def constant(self, factor: sp.Expr) -> sp.Expr:
        """A number as it is, anything else as a named constant (up to its sign)."""
        if factor.is_number:
            return factor
        if -factor in self.constants:
            return -self.constants[-factor]
        if factor not in self.constants:
            self.constants[factor] = sp.Symbol(f"K{len(self.constants)}", real=True)
        return self.constants[factor]

    def short(self, expression: sp.Expr) -> sp.Expr:
        """The expression in constants and moving symbols."""
        parts = []
        for powers, factor in terms(expression).items():
            product = sp.Mul(*(sym**p for sym, p in zip(_MOVING, powers, strict=True) if p))
            parts.append(self.constant(factor) * product)
        return sp.Add(*parts)

    def lines(self, results: Sequence[tuple[str, sp.Expr]]) -> list[str]:
        """Assignments `target = value` with shared parts named, constants read first."""
        short = [self.short(value) for _, value in results]
        names = sp.numbered_symbols("t")
        shared, values = sp.cse(short, symbols=names, order="none")
        used: set[str] = set()
        for _, value in shared:
            used |= {str(sym) for sym in value.free_symbols}
        for value in values:
            used |= {str(sym) for sym in value.free_symbols}
        known = {str(sym): int(str(sym)[1:]) for sym in self.constants.values()}
        out = [f"{n} = K[{known[n]}]" for n in sorted(used & set(known), key=known.__getitem__)]
        out += [f"{sym} = {python(value)}" for sym, value in shared]
        out += [
            f"{target} = {python(value)}"
            for (target, _), value in zip(results, values, strict=True)
        ]
        return out


def python(expression: sp.Expr) -> str:
    """Give the expression as Python."""
    text: str = sp.pycode(expression, fully_qualified_modules=True)
    return text


def _function(
    name: str, arguments: str, doc: str, body: Sequence[str], how: str = "compiled"
) -> str:
    inside = "\n".join(f"    {line}" for line in body)
    return f'@{how}\ndef {name}({arguments}):\n    """{doc}"""\n{inside}\n'


def _read_rates(kind: Kind) -> list[str]:
    n = len(kind.names)
    return [f"{RATE[name]} = y[{n + i}]" for i, name in enumerate(kind.names)]


def _read_trig(kind: Kind) -> list[str]:
    turning = [n for n in kind.names if n in "ehs"]
    return [
        line
        for n in turning
        for line in (
            f"sin_{n} = w[{2 * 'ehs'.index(n)}]",
            f"cos_{n} = w[{2 * 'ehs'.index(n) + 1}]",
        )
    ]


def _make_trig(kind: Kind) -> list[str]:
    lines = []
    for i, n in enumerate(kind.names):
        if n in "ehs":
            lines.append(f"sin_{n}, cos_{n} = sine_cosine(y[{i}])")
        else:
            lines.append(f"{n} = y[{i}]")
    return lines


def elimination(pattern: Sequence[Sequence[bool]], order: Sequence[int]) -> list[tuple[int, int]]:
    """Places (row, column) of the nonzero multipliers of L D L^T in elimination order.

    >>> elimination([[True, True], [True, True]], [1, 0])
    [(0, 1)]
    """
    filled = [list(row) for row in pattern]
    found = []
    for k, column in enumerate(order):
        later = [i for i in order[k + 1 :] if filled[i][column]]
        for i in later:
            found.append((i, column))
            for j in later:
                filled[i][j] = True
    return found


def factor_lines(
    motion: Motion, writer: Writer, order: Sequence[int], base: int
) -> tuple[list[str], list[str]]:
    """Lines that take the mass matrix apart (into w), and lines that solve with the parts."""
    n = len(order)
    pattern = [[motion.mass[i, j] != 0 for j in range(n)] for i in range(n)]
    multipliers = elimination(pattern, order)
    slot = {place: base + n + k for k, place in enumerate(multipliers)}
    made = {(i, j) for i in range(n) for j in range(n) if pattern[i][j]}

    def name(i: int, j: int) -> str:
        return f"M_{min(i, j)}{max(i, j)}"

    touched = {row for row, _ in multipliers}

    def inverse(column: int) -> str:
        """One over the diagonal: a constant where the dials alone set it and nothing changes it."""
        found = terms(motion.mass[column, column])
        if column in touched or any(any(powers) for powers in found):
            return f"1.0 / {name(column, column)}"
        (factor,) = found.values()
        return python(writer.constant(1 / factor)).replace("K", "K[", 1) + "]"

    apart: list[str] = []
    for k, column in enumerate(order):
        apart.append(f"inverse = {inverse(column)}")
        apart.append(f"w[{base + column}] = inverse")
        later = [i for i in order[k + 1 :] if (i, column) in slot]
        for i in later:
            apart.append(f"share_{i} = {name(i, column)} * inverse")
            apart.append(f"w[{slot[i, column]}] = share_{i}")
        for a, i in enumerate(later):
            for j in later[a:]:
                change = f"share_{i} * {name(j, column)}"
                if (i, j) in made:
                    apart.append(f"{name(i, j)} -= {change}")
                else:
                    apart.append(f"{name(i, j)} = -{change}")
                    made |= {(i, j), (j, i)}
    solve = [f"x_{i} = w[b + {i}]" for i in range(n)]
    solve += [f"x_{i} -= w[{slot[i, c]}] * x_{c}" for i, c in multipliers]
    solve += [f"x_{i} *= w[{base + i}]" for i in range(n)]
    solve += [f"x_{c} -= w[{slot[i, c]}] * x_{i}" for i, c in reversed(multipliers)]
    solve += [f"w[x + {i}] = x_{i}" for i in range(n)]
    return apart, solve


def _rows_at(start: int, rows: Rows, n: int) -> list[tuple[str, sp.Expr]]:
    found = [(f"w[{start + i}]", value) for i, value in enumerate(rows.per_acceleration)]
    return [*found, (f"w[{start + n}]", rows.rest)]


def write(kind: Kind) -> str:
    """Source text of one machine kind's functions, ready to be joined with the stepping."""
    motion, writer, n = derive(kind), Writer(), len(kind.names)
    order = [kind.names.index(name) for name in ELIMINATED if name in kind.names]
    factors = 6
    after = factors + n + n * (n - 1) // 2
    at = {
        name: after + i * (n + 1)
        for i, name in enumerate(
            ("FORCE", "BALL_UP", "BALL_ALONG", "LOAD_X", "LOAD_Y", "PIN_X", "PIN_Y")
        )
    }
    apart, solve = factor_lines(motion, writer, order, factors)
    mass = [
        (f"M_{i}{j}", motion.mass[i, j])
        for i in range(n)
        for j in range(i, n)
        if motion.mass[i, j] != 0
    ]
    store_trig = [
        f"w[{2 * 'ehs'.index(name) + k}] = {word}_{name}"
        for name in kind.names
        if name in "ehs"
        for k, word in enumerate(("sin", "cos"))
    ]
    force = [(f"w[{at['FORCE'] + i}]", motion.force[i]) for i in range(n)]
    forces, energies = part_forces(kind), part_energies(kind)
    places = geometry.points(kind)
    read_accelerations = [
        f"{ACCELERATION[name]} = rates[row, {n + i}]" for i, name in enumerate(kind.names)
    ]

    functions = [
        _function(
            "prepare",
            "y, K, w",
            "Sines, mass matrix taken apart, and forces f(q, v), into w: y is q, v, ...",
            [
                *_make_trig(kind),
                *store_trig,
                *_read_rates(kind),
                *writer.lines([*mass, *force]),
                *apart,
            ],
            "inlined",
        ),
        _function(
            "solve",
            "w, b, x",
            "x = M^-1 b, both places in w, with the parts that prepare left there.",
            solve,
            "inlined",
        ),
        _function(
            "ball_rows",
            "y, K, w",
            "How the projectile's height and travel answer the accelerations, into w.",
            [
                *_read_trig(kind),
                *_read_rates(kind),
                *writer.lines(
                    [
                        *_rows_at(at["BALL_UP"], motion.ball_height, n),
                        *_rows_at(at["BALL_ALONG"], motion.ball_travel, n),
                    ]
                ),
            ],
        ),
        _function(
            "load_rows",
            "y, K, w",
            "How the loads on axle and pin answer the accelerations, into w.",
            [
                *_read_trig(kind),
                *_read_rates(kind),
                *writer.lines(
                    [
                        *_rows_at(at["LOAD_X"], motion.axle_load_x, n),
                        *_rows_at(at["LOAD_Y"], motion.axle_load_y, n),
                        *_rows_at(at["PIN_X"], motion.pin_load_x, n),
                        *_rows_at(at["PIN_Y"], motion.pin_load_y, n),
                    ]
                ),
            ],
        ),
        _function(
            "places",
            "y, K, out",
            f"x and y of {', '.join(places)}, into out.",
            [
                *_make_trig(kind),
                *writer.lines(
                    [
                        (f"out[{2 * i + k}]", places[name][k])
                        for i, name in enumerate(places)
                        for k in (0, 1)
                    ]
                ),
            ],
        ),
        _function(
            "ball_velocity",
            "y, K, out",
            "Velocity of the projectile, into out.",
            [
                *_make_trig(kind),
                *_read_rates(kind),
                *writer.lines(
                    [(f"out[{k}]", geometry.velocity(places["ball"], kind)[k]) for k in (0, 1)]
                ),
            ],
        ),
        _function(
            "part_forces",
            "y, rates, row, N, F_t, K, w, out",
            f"Forces body by body, {', '.join(forces)}, into out; prepare has filled w.",
            [
                *_read_trig(kind),
                *_read_rates(kind),
                *read_accelerations,
                *writer.lines([(f"out[{i}]", value) for i, value in enumerate(forces.values())]),
            ],
        ),
        _function(
            "part_energies",
            "y, K, out",
            f"Kinetic plus potential energy of {', '.join(energies)}, into out.",
            [
                *_make_trig(kind),
                *_read_rates(kind),
                *writer.lines([(f"out[{i}]", value) for i, value in enumerate(energies.values())]),
            ],
        ),
    ]
    return "\n\n".join([_header(kind, n, at, after), _constants(writer), *functions])


def _header(kind: Kind, n: int, at: Mapping[str, int], after: int) -> str:
    index = {name: kind.names.index(name) if name in kind.names else -1 for name in COORDINATE}
    lines = [
        f"COORDINATES = {n}",
        f"ELEVATION, HANGER, SLING, BASE = {index['e']}, {index['h']}, {index['s']}, {index['X']}",
        f"BALL_X, BALL_Y = {index['x_b']}, {index['y_b']}",
        *(f"{name} = {place}" for name, place in at.items()),
        f"WORK = {after + len(at) * (n + 1)}",
    ]
    return "\n".join(lines)


def _constants(writer: Writer) -> str:
    """The function that works out the constants from the dials, once a throw."""
    needed = {str(sym) for factor in writer.constants for sym in factor.free_symbols}
    reading = [
        f"{LETTER[path]} = p[{place}]"
        for path, place in MOVING_INDEX.items()
        if str(LETTER[path]) in needed
    ]
    working = [f"K[{name.name[1:]}] = {python(f)}" for f, name in writer.constants.items()]
    size = f"CONSTANTS = {len(writer.constants)}\n\n\n"
    doc = "The constants of the equations from the dials p, into K."
    return size + _function("constants", "p, K", doc, [*reading, *working])
