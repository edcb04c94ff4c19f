#!/usr/bin/env python3
"""Solves planning problems with HiGHS, an independent mixed-integer solver, and prints each optimum.

    cargo bench --bench planner -- --emit | python3 tests/reference/optima.py > tests/data/planner/optima.txt

Standard input: one JSON object a line, {"name": ..., "instance": ...}, the instance in the shape of docs/planner.md.
Standard output: name, optimum in micro-points (or 'none' if the pinned stretches do not fit) and HiGHS's seconds.
Needs: pip install highspy (tried with 1.16). One thread; gaps 0 relative and 1e-7 absolute.

The model is written from docs/planner.md alone: a 0/1 variable a choice, the way through the positions as a path,
and each unit's benefit as a number under every line of its concave curve.
"""
import json
import sys
import time

import highspy
import numpy as np

INF = highspy.kHighsInf


def benefit(curve, x):
    for (x0, y0), (x1, y1) in zip(curve, curve[1:]):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return curve[-1][1]


class Model:
    def __init__(self):
        self.objective, self.lower, self.upper, self.whole, self.rows = [], [], [], [], []

    def variable(self, objective, upper=1.0, whole=True):
        self.objective.append(objective)
        self.lower.append(0.0)
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.objective) - 1

    def row(self, terms, lower, upper):
        self.rows.append((terms, lower, upper))

    def solve(self):
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self.objective), len(self.rows)
        lp.col_cost_ = np.array(self.objective)
        lp.col_lower_, lp.col_upper_ = np.array(self.lower), np.array(self.upper)
        lp.row_lower_ = np.array([row[1] for row in self.rows])
        lp.row_upper_ = np.array([row[2] for row in self.rows])
        starts, indices, values = [0], [], []
        for terms, _, _ in self.rows:
            merged = {}
            for column, value in terms:
                merged[column] = merged.get(column, 0.0) + value
            for column in sorted(merged):
                indices.append(column)
                values.append(merged[column])
            starts.append(len(indices))
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.array(starts)
        lp.a_matrix_.index_ = np.array(indices)
        lp.a_matrix_.value_ = np.array(values, dtype=float)
        kinds = highspy.HighsVarType
        lp.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in self.whole]
        lp.sense_ = highspy.ObjSense.kMaximize
        solver = highspy.Highs()
        for name, value in [("output_flag", False), ("threads", 1), ("mip_rel_gap", 0.0), ("mip_abs_gap", 1e-7),
                            ("mip_feasibility_tolerance", 1e-9), ("primal_feasibility_tolerance", 1e-9)]:
            solver.setOptionValue(name, value)
        solver.passModel(lp)
        begin = time.perf_counter()
        solver.run()
        seconds = time.perf_counter() - begin
        if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None, seconds
        return solver.getInfo().objective_function_value, seconds


def optimum(problem):
    model = Model()
    positions, change, turn = problem["positions"], problem["change_s"], problem["turn_s"]
    taken = {choice["id"]: model.variable(-choice["cost"]) for s in problem["stretches"] for choice in s["choices"]}
    used = {p: model.variable(0.0) for p in positions}
    turned = {p: model.variable(0.0) for p in positions}
    last = {p: model.variable(0.0) for p in positions}
    arcs = {(a, b): model.variable(0.0) for a, row in change.items() for b in row}
    model.row([(v, 1) for (a, _), v in arcs.items() if a == "start"], -INF, 1)
    for p in positions:
        model.row([(v, 1) for (_, b), v in arcs.items() if b == p] + [(used[p], -1)], 0, 0)
        model.row([(v, 1) for (a, _), v in arcs.items() if a == p] + [(last[p], 1), (used[p], -1)], 0, 0)
    seconds = [(v, change[a][b]) for (a, b), v in arcs.items()] + [(turned[p], turn.get(p, 0)) for p in positions]
    covers = {}
    for stretch in problem["stretches"]:
        ids = [(taken[choice["id"]], 1) for choice in stretch["choices"]]
        model.row(ids, 1 if stretch["pinned"] else -INF, 1)
        for p in positions:
            here = [choice for choice in stretch["choices"] if choice["position"] == p]
            for choices, flag in [(here, used[p]), ([c for c in here if c["two_sided"]], turned[p])]:
                if choices:
                    model.row([(taken[c["id"]], 1) for c in choices] + [(flag, -1)], -INF, 0)
        for choice in stretch["choices"]:
            seconds.append((taken[choice["id"]], choice["time_s"]))
            for unit, gain in choice["gain"]:
                covers.setdefault(unit, []).append((taken[choice["id"]], gain))
    model.row(seconds, -INF, problem["budget_s"] - problem["opening_s"])
    for unit, cover in covers.items():
        want = problem["units"][unit]
        curve = want.get("curve", problem["curve"])
        already = benefit(curve, want["done_s"])
        gained = model.variable(1.0, INF, whole=False)
        for (x0, y0), (x1, y1) in zip(curve, curve[1:]):
            slope = (y1 - y0) / (x1 - x0)
            limit = want["weight"] * (y0 + slope * (want["done_s"] - x0) - already)
            model.row([(gained, 1)] + [(v, -want["weight"] * slope * x) for v, x in cover], -INF, limit)
        model.row([(gained, 1)], -INF, want["weight"] * (curve[-1][1] - already))
    return model.solve()


if __name__ == "__main__":
    for line in sys.stdin:
        if line.startswith("{"):
            named = json.loads(line)
            value, seconds = optimum(named["instance"])
            print(named["name"], "none" if value is None else round(value * 1e6), f"{seconds:.4f}", flush=True)
