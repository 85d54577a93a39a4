"""Writes the unrolled step of the Dormand-Prince pair of order 8(5,3) for a given state size.

The sums over stages are written out with their nonzero coefficients, so the compiler sees
constants only.  The step calls `rhs(stage, slide, y, p, K, w, k, row)`, written into it, and
the interpolant `rates`, the same as a function of its own: the text joined to them defines both.

Source: E. Hairer, S. P. Norsett, G. Wanner, Solving Ordinary Differential Equations I, 2nd ed.,
Springer 1993, section II.5 and code DOP853; the coefficients are those of SciPy's copy.
"""

import numpy as np

STAGES, EXTRA_STAGES = 12, 3
Places = list[tuple[int, float]]


def _pair(name: str) -> list[Places]:
    """Column and value of the nonzero coefficients in each row of one of the pair's tables."""
    from scipy.integrate import DOP853

    rows = np.atleast_2d(getattr(DOP853, name))
    return [[(at, float(row[at])) for at in np.flatnonzero(row).tolist()] for row in rows]


def _sum(row: Places) -> str:
    return " + ".join(f"{value!r} * k[{j}, i]" for j, value in row)


def step_source(size: int) -> str:
    """Source of `step` (one step and its error) and `dense` (its interpolant) for `size` numbers.

    `step` takes the state y (size,), its rates in k[0], and leaves the new state in y_new, the
    stage rates in k (16, size) and the new state's rates in k[12]; it returns the weighted error,
    at most 1 for a step to accept.  `dense` leaves the seven rows of the interpolant in F.

    >>> "def step(" in step_source(4)
    True
    """
    rows = _pair("A") + _pair("B") + _pair("A_EXTRA")
    starts = [sum(map(len, rows[:row])) for row in range(len(rows) + 1)]
    columns, values = zip(*(place for row in rows for place in row), strict=True)
    (E3,), (E5,), D = _pair("E3"), _pair("E5"), _pair("D")
    lines = [
        f"STARTS = np.array({starts})",
        f"COLUMNS = np.array({list(columns)})",
        f"VALUES = np.array({list(values)})",
        "",
        "",
        "@inner",
        "def combine(row, y, h, k, out):",
        '    """State at stage `row` of the step, from the rates of the stages before it."""',
        f"    for i in range({size}):",
        "        out[i] = y[i]",
        "    for at in range(STARTS[row], STARTS[row + 1]):",
        "        column, share = COLUMNS[at], h * VALUES[at]",
        f"        for i in range({size}):",
        "            out[i] += share * k[column, i]",
    ]
    lines += [
        "",
        "",
        "@compiled",
        "def step(stage, slide, y, h, tolerance, weight, p, K, w, k, y_new):",
        '    """One step of order 8; returns its error over what is allowed."""',
        f"    for row in range(1, {STAGES + 1}):",
        "        combine(row, y, h, k, y_new)",
        "        rhs(stage, slide, y_new, p, K, w, k, row)",
        "    sum_5 = 0.0",
        "    sum_3 = 0.0",
        f"    for i in range({size}):",
        "        allowed = tolerance * (weight[i] + max(abs(y[i]), abs(y_new[i])))",
        f"        error_5 = ({_sum(E5)}) / allowed",
        f"        error_3 = ({_sum(E3)}) / allowed",
        "        sum_5 += error_5 * error_5",
        "        sum_3 += error_3 * error_3",
        "    if sum_5 == 0.0 and sum_3 == 0.0:",
        "        return 0.0",
        f"    return abs(h) * sum_5 / math.sqrt((sum_5 + 0.01 * sum_3) * {float(size)!r})",
        "",
        "",
        "@compiled",
        "def dense(stage, slide, y, y_new, h, p, K, w, k, y_stage, F):",
        '    """The interpolant of the step just made: seven rows in F."""',
        f"    for row in range({STAGES + 1}, {STAGES + 1 + EXTRA_STAGES}):",
        "        combine(row, y, h, k, y_stage)",
        "        rates(stage, slide, y_stage, p, K, w, k, row)",
        f"    for i in range({size}):",
        "        change = y_new[i] - y[i]",
        "        F[0, i] = change",
        "        F[1, i] = h * k[0, i] - change",
        f"        F[2, i] = 2.0 * change - h * (k[{STAGES}, i] + k[0, i])",
        *(f"        F[{3 + row}, i] = h * ({_sum(D[row])})" for row in range(4)),
        "",
        "",
        "@compiled",
        "def between(y, F, part, out):",
        '    """State at `part` of the step (0 to 1) from its interpolant."""',
        "    rest = 1.0 - part",
        f"    for i in range({size}):",
        "        inner = F[3, i] + part * (F[4, i] + rest * (F[5, i] + part * F[6, i]))",
        "        inner = F[1, i] + part * (F[2, i] + rest * inner)",
        "        out[i] = y[i] + part * (F[0, i] + rest * inner)",
        "",
    ]
    return "\n".join(lines) + "\n"


def lane_step_source(size: int) -> str:
    """Source of `step_in_lanes`: one step of many throws in step, each with its own size.

    It calls `rates_in_lanes` of the text it is joined to.

    Numbers stand as `array[place * LANES + lane]`.  y, y_new, weight, h: size * LANES, h the same
    for all numbers of a lane; k: STAGES + 3 rows of that, rates of y in row 0, of y_new left in
    row 12.  It leaves in `found` each lane's error over what is allowed, and how many times longer
    the next step may be before it is held within bounds.

    >>> "def step_in_lanes(" in lane_step_source(7)
    True
    """
    rows = _pair("A")[1:] + _pair("B")
    (E3,), (E5,) = _pair("E3"), _pair("E5")

    def flat(row: Places) -> str:
        return " + ".join(f"{value!r} * k[{j} * {size} * LANES + m]" for j, value in row)

    lines = [f"LAST = {STAGES} * {size} * LANES"]
    lines += [
        "",
        "",
        "@in_lanes",
        "def combine(row, numbers, y, h, k, y_new):",
        '    """States at stage `row` of the step, from the rates of the stages before."""',
    ]
    for number, row in enumerate(rows, 1):
        lines += [
            f"    {'if' if number == 1 else 'elif'} row == {number}:",
            "        for m in range(numbers):",
            f"            y_new[m] = y[m] + h[m] * ({flat(row)})",
        ]
    lines += [
        "",
        "",
        "@in_lanes",
        "def errors(numbers, lanes, tolerance, weight, y, h, k, y_new, found):",
        '    """Errors of the step over what is allowed, from rates, into found."""',
        "    for m in range(numbers):",
        "        allowed = tolerance * (weight[m] + max(abs(y[m]), abs(y_new[m])))",
        f"        k[{STAGES + 1} * {size} * LANES + m] = ({flat(E5)}) / allowed",
        f"        k[{STAGES + 2} * {size} * LANES + m] = ({flat(E3)}) / allowed",
        "    for lane in range(lanes):",
        "        sum_5 = 0.0",
        "        sum_3 = 0.0",
    ]
    for i in range(size):
        lines += [
            f"        error_5 = k[({STAGES + 1} * {size} + {i}) * LANES + lane]",
            f"        error_3 = k[({STAGES + 2} * {size} + {i}) * LANES + lane]",
            "        sum_5 += error_5 * error_5",
            "        sum_3 += error_3 * error_3",
        ]
    lines += [
        f"        root = math.sqrt((sum_5 + 0.01 * sum_3) * {float(size)!r})",
        "        error = h[lane] * sum_5 / (root + 1e-300)",
        "        found[ERROR * LANES + lane] = error",
        "        eighth = math.sqrt(math.sqrt(math.sqrt(max(error, 1e-12))))",
        "        found[LONGER * LANES + lane] = 0.9 / eighth",
    ]
    lines += [
        "",
        "",
        "@inner",
        "def step_in_lanes(stage, numbers, lanes, tolerance, weight, y, h, K, w, k, y_new, found):",
        '    """One step of order 8 in every lane."""',
        # One place that calls the rates: what is called in twelve places is compiled as often.
        f"    for row in range(1, {STAGES + 1}):",
        "        combine(row, numbers, y, h, k, y_new)",
        f"        rates_in_lanes(stage, lanes, y_new, K, w, k, row * {size} * LANES)",
        "    errors(numbers, lanes, tolerance, weight, y, h, k, y_new, found)",
    ]
    return "\n".join(lines) + "\n"
