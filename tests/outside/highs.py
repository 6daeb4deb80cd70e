"""One program of binaries on HiGHS, on one thread and with tight tolerances."""

import highspy
import numpy as np

FEASIBILITY = 1e-9


class OutOfTime(Exception):
    """A time limit struck; it says nothing about the answer."""


def solve(columns, rows, cost, limit_s, *, gap=0.0, continuous=(), run=lambda solve: solve()):
    """The columns' values at least cost (within `gap`), or None where nothing keeps the rows.

    Rows are (least, most, [(column, coefficient)]), `cost` is by column; columns are 0 or 1, and those of `continuous`
    from 0 up. `run` is called with the solver's own running.
    """
    starts, index, value, least, most = [0], [], [], [], []
    for low, high, terms in rows:
        if not terms:
            if low > 0 or high < 0:
                return None
            continue
        index += [c for c, _ in terms]
        value += [v for _, v in terms]
        starts.append(len(index))
        least.append(low)
        most.append(high)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = columns, len(least)
    lp.col_cost_ = np.array([cost.get(c, 0.0) for c in range(columns)], dtype=float)
    lp.col_lower_ = np.zeros(columns)
    lp.col_upper_ = np.array([np.inf if c in continuous else 1.0 for c in range(columns)])
    lp.row_lower_, lp.row_upper_ = np.array(least, dtype=float), np.array(most, dtype=float)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array(starts, dtype=np.int32)
    lp.a_matrix_.index_ = np.array(index, dtype=np.int32)
    lp.a_matrix_.value_ = np.array(value, dtype=float)
    kinds = highspy.HighsVarType
    lp.integrality_ = [kinds.kContinuous if c in continuous else kinds.kInteger for c in range(columns)]
    solver = highspy.Highs()
    for name, setting in (
        ("output_flag", False), ("threads", 1), ("time_limit", limit_s), ("random_seed", 0),
        ("mip_rel_gap", gap), ("mip_abs_gap", 0.0), ("mip_feasibility_tolerance", FEASIBILITY),
        ("primal_feasibility_tolerance", FEASIBILITY), ("dual_feasibility_tolerance", FEASIBILITY),
    ):
        assert solver.setOptionValue(name, setting) == highspy.HighsStatus.kOk, name
    assert solver.passModel(lp) == highspy.HighsStatus.kOk
    run(solver.run)
    status = solver.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return None
    if status == highspy.HighsModelStatus.kTimeLimit:
        raise OutOfTime
    assert status == highspy.HighsModelStatus.kOptimal, status
    return solver.getSolution().col_value
