#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Re-solves what `opisthion assess CASE --export-system DIR` wrote, with SciPy and without the program's mechanics.

usage: scipy_system.py DIR [--tolerance 1e-9]

For each construct folder:
 1 beams and cushions are assembled again from nodes.csv, elements.csv and cushions.csv (Timoshenko beam, bed by matrix
   exponential) and compared with stiffness.mtx;
 2 laws.csv is evaluated again, and tangent and offset of every load case put together from it;
 3 displacements are solved for by sparse LU;
 4 the smallest eigenvalue of the tangent with rotations divided by 20 mm is found again.
Ends with 1 when anything differs by more than the tolerance.
"""
import argparse
import csv
import pathlib
import sys

import numpy as np
import scipy.io
import scipy.linalg
import scipy.sparse as sparse
import scipy.sparse.linalg as sparse_linalg

ROTATION_SCALE_MM = 20.0


def cross(r):
    return np.array([[0, -r[2], r[1]], [r[2], 0, -r[0]], [-r[1], r[0], 0]])


def arm(r):
    """Motion of a point = arm * motion of the reference; r = point - reference."""
    t = np.eye(6)
    t[:3, 3:] = -cross(r)
    return t


def free_bending(ei, kga, length):
    """(v, theta) at a and b of a free Timoshenko beam. Phi = 12 EI/(kGA L^2) (Przemieniecki 1968)."""
    phi = 12.0 * ei / (kga * length**2) if kga > 0 else 0.0
    c = ei / ((1.0 + phi) * length**3)
    l = length
    return c * np.array([[12, 6 * l, -12, 6 * l],
                         [6 * l, (4 + phi) * l * l, -6 * l, (2 - phi) * l * l],
                         [-12, -6 * l, 12, -6 * l],
                         [6 * l, (2 - phi) * l * l, -6 * l, (4 + phi) * l * l]])


def joined(first, second, n):
    """Two members in line; the n unknowns between them condense away."""
    k = np.zeros((3 * n, 3 * n))
    k[:2 * n, :2 * n] += first
    k[n:, n:] += second
    ends = np.r_[0:n, 2 * n:3 * n]
    mid = np.r_[n:2 * n]
    return k[np.ix_(ends, ends)] - k[np.ix_(ends, mid)] @ np.linalg.solve(k[np.ix_(mid, mid)], k[np.ix_(mid, ends)])


def bedded_bending(ei, kga, length, k):
    """v' = theta + Q/kGA, theta' = M/EI, M' = -Q, Q' = k v by matrix exponential; v/L, theta, ML/EI, QL^2/EI as unknowns.

    A stiff bed is cut in halves that are joined again, so that the growing exponentials cost no digits.
    """
    a = k * length**4 / ei
    if a == 0.0:
        return free_bending(ei, kga, length)
    if a > 16.0:
        half = bedded_bending(ei, kga, length / 2, k)
        return joined(half, half, 2)
    phi = ei / (kga * length**2) if kga > 0 else 0.0
    t = scipy.linalg.expm(np.array([[0, 1, 0, phi], [0, 0, 1, 0], [0, 0, 0, -1], [a, 0, 0, 0]], dtype=float))
    t11, t12, t21, t22 = t[:2, :2], t[:2, 2:], t[2:, :2], t[2:, 2:]
    near = np.hstack([-np.linalg.solve(t12, t11), np.linalg.inv(t12)])
    far = t22 @ near
    far[:, :2] += t21
    stiff = np.vstack([-near[1], -near[0], far[1], far[0]])  # (-Q, -M) at a, (Q, M) at b
    d = np.array([1.0 / length, 1.0, 1.0 / length, 1.0])
    stiff = ei / length * (d[:, None] * stiff * d[None, :])
    return 0.5 * (stiff + stiff.T)


def line(rigidity, length, k):
    """Bar or shaft in a bed, by matrix exponential of (u, N L/EA)."""
    a = k * length**2 / rigidity
    if a == 0.0:
        return rigidity / length * np.array([[1.0, -1.0], [-1.0, 1.0]])
    if a > 4.0:
        half = line(rigidity, length / 2, k)
        return joined(half, half, 1)
    t = scipy.linalg.expm(np.array([[0.0, 1.0], [a, 0.0]]))
    near = np.array([-t[0, 0] / t[0, 1], 1.0 / t[0, 1]])
    far = t[1, 1] * near + np.array([t[1, 0], 0.0])
    stiff = rigidity / length * np.vstack([-near, far])
    return 0.5 * (stiff + stiff.T)


def beam_12(e):
    number = lambda name: float(e[name])
    length = number("length_mm")
    lateral, axial, torsional = number("k_lateral_MPa"), number("k_axial_MPa"), number("k_torsional_N")
    k = np.zeros((12, 12))
    k[np.ix_([0, 6], [0, 6])] += line(number("EA_N"), length, axial)
    k[np.ix_([3, 9], [3, 9])] += line(number("GJ_Nmm2"), length, torsional)
    k[np.ix_([1, 5, 7, 11], [1, 5, 7, 11])] += bedded_bending(number("EIz_Nmm2"), number("kGAy_N"), length, lateral)
    sign = np.array([1, -1, 1, -1])
    other = bedded_bending(number("EIy_Nmm2"), number("kGAz_N"), length, lateral)
    k[np.ix_([2, 4, 8, 10], [2, 4, 8, 10])] += sign[:, None] * other * sign
    return k


def frame_of(row):
    return np.array([[float(row[f"r{i}{j}"]) for j in (1, 2, 3)] for i in (1, 2, 3)])


def rows(path):
    with open(path, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def assemble(folder, dofs):
    nodes = rows(folder / "nodes.csv")
    place = {int(n["body"]): np.array([float(n[c]) for c in ("x_mm", "y_mm", "z_mm")]) for n in nodes}
    first = {int(n["body"]): int(n["first_dof"]) for n in nodes}
    entries = ([], [], [])

    def add(bodies, k):
        for i, a in enumerate(bodies):
            for j, b in enumerate(bodies):
                if first[a] < 0 or first[b] < 0:
                    continue
                block = k[6 * i:6 * i + 6, 6 * j:6 * j + 6]
                r, c = np.meshgrid(first[a] + np.arange(6), first[b] + np.arange(6), indexing="ij")
                entries[0].extend(r.ravel())
                entries[1].extend(c.ravel())
                entries[2].extend(block.ravel())

    for e in rows(folder / "elements.csv"):
        a, b, bone = int(e["a"]), int(e["b"]), int(e["bone"])
        turn = np.kron(np.eye(4), frame_of(e).T)
        k = turn.T @ beam_12(e) @ turn
        bed = any(float(e[name]) != 0.0 for name in ("k_lateral_MPa", "k_axial_MPa", "k_torsional_N"))
        if bone < 0 or not bed:
            add([a, b], k)
            continue
        # Motion relative to the bone at each end.
        t = np.zeros((12, 18))
        t[:, :12] = np.eye(12)
        t[:6, 12:] = -arm(place[a] - place[bone])
        t[6:, 12:] = -arm(place[b] - place[bone])
        add([a, b, bone], t.T @ k @ t)
    cushions = folder / "cushions.csv"
    for c in rows(cushions) if cushions.exists() else []:
        a, b = int(c["a"]), int(c["b"])
        point = np.array([float(c[name]) for name in ("px_mm", "py_mm", "pz_mm")])
        stiff = np.array([[float(c[f"k{i}{j}"]) for j in range(1, 7)] for i in range(1, 7)])
        turn = np.kron(np.eye(2), frame_of(c))
        t = np.hstack([-arm(point - place[a]), arm(point - place[b])])
        add([a, b], t.T @ turn @ stiff @ turn.T @ t)
    return sparse.coo_matrix((entries[2], (entries[0], entries[1])), shape=(dofs, dofs)).tocsc()


def scale_of(folder, dofs):
    d = np.full(dofs, np.nan)
    for n in rows(folder / "nodes.csv"):
        at = int(n["first_dof"])
        if at >= 0:
            d[at:at + 3] = 1.0
            d[at + 3:at + 6] = ROTATION_SCALE_MM
    if np.isnan(d).any():
        raise SystemExit(f"{folder.name}: nodes.csv leaves unknowns without a body")
    return d


def respond(law, e, case):
    """Force and tangent of a law at e, from its definition."""
    if law["kind"] == "friction":
        cap, k = float(law[f"cap_{case}"]), float(law["stiffness"])
        force = k * (e - float(law["slack"]))
        return (force, k) if cap > 0.0 and abs(force) < cap else (float(np.copysign(cap, force)) if cap > 0.0 else 0.0, 0.0)
    if law["kind"] == "toe_linear":
        x, toe, k = e - float(law["slack"]), float(law["toe"]), float(law["stiffness"])
        if x < 0.0:
            return 0.0, 0.0
        return (k * x * x / (2 * toe), k * x / toe) if x < toe else (k * (x - toe / 2), k)
    n = int(law["count"])
    at = [float(law[f"at_{i}"]) for i in range(1, n + 1)]
    value = [float(law[f"value_{i}"]) for i in range(1, n + 1)]
    if e < at[0]:
        slope = float(law["slope_below"])
        return value[0] + slope * (e - at[0]), slope
    for i in range(n - 1):
        if e < at[i + 1]:
            slope = (value[i + 1] - value[i]) / (at[i + 1] - at[i])
            return value[i] + slope * (e - at[i]), slope
    slope = float(law["slope_above"])
    return value[-1] + slope * (e - at[-1]), slope


def law_row(law, dofs):
    row = np.zeros(dofs)
    for block in range(1, int(law["blocks"]) + 1):
        first = int(law[f"first_dof_{block}"])
        for k in range(6):
            row[first + k] += float(law[f"row_{block}_{k + 1}"])
    return row


class Judge:
    def __init__(self, tolerance):
        self.tolerance = tolerance
        self.bad = 0
        self.checks = 0

    def __call__(self, where, what, difference, note=""):
        good = difference <= self.tolerance
        self.checks += 1
        self.bad += not good
        print(f"{'ok  ' if good else 'OVER'} {where}: {what}: {difference:.2e}{note}")


def symmetric(path):
    return sparse.csc_matrix(scipy.io.mmread(path))


def vector(path):
    return np.asarray(scipy.io.mmread(path)).ravel()


def smallest_eigenvalue(k):
    """By inverse iteration on a factorised matrix (dense for small ones); k is positive definite."""
    if k.shape[0] <= 1500:
        return scipy.linalg.eigh(k.toarray(), eigvals_only=True, subset_by_index=[0, 0])[0]
    start = np.random.default_rng(1).standard_normal(k.shape[0])
    return sparse_linalg.eigsh(k, k=1, sigma=0.0, which="LM", v0=start, tol=1e-14)[0][0]


def check_construct(folder, judge):
    name = folder.name
    linear = symmetric(folder / "stiffness.mtx")
    regularisation = symmetric(folder / "regularisation.mtx")
    dofs = linear.shape[0]
    d = scale_of(folder, dofs)
    inverse = sparse.diags(1.0 / d)
    again = assemble(folder, dofs)
    # Entry by entry, relative to the diagonal, so that soft parts count as much as stiff ones.
    root = np.sqrt(np.maximum(linear.diagonal(), 1e-30))
    root[linear.diagonal() == 0.0] = 1.0
    by_diagonal = sparse.diags(1.0 / root)
    judge(name, "stiffness reassembled from nodes and elements", abs(by_diagonal @ (linear - again) @ by_diagonal).max())

    # Assembly: forces that are there already, and their geometric stiffness, which is given and not derived again here.
    zero = sparse.csc_matrix((dofs, dofs))
    prestress = symmetric(folder / "prestress.mtx") if (folder / "prestress.mtx").exists() else zero
    force0 = vector(folder / "force0.mtx") if (folder / "force0.mtx").exists() else np.zeros(dofs)

    laws_path = folder / "laws.csv"
    laws = rows(laws_path) if laws_path.exists() else None
    eigenvalue_path = folder / "smallest_eigenvalue.csv"
    eigenvalues = {row["case"]: float(row["value"]) for row in rows(eigenvalue_path)} if eigenvalue_path.exists() else {}
    cases = sorted(p.stem[len("load_"):] for p in folder.glob("load_*.mtx"))
    if not cases:
        print(f"     {name}: no load case was exported")
    for case in cases:
        where = f"{name}/{case}"
        tangent = symmetric(folder / f"stiffness_{case}.mtx") + regularisation
        load, offset = vector(folder / f"load_{case}.mtx"), vector(folder / f"offset_{case}.mtx")
        u = vector(folder / f"displacement_{case}.mtx")
        if laws is not None:
            built, constant = (linear + prestress + regularisation).tolil(), force0.copy()
            worst = 0.0
            for law in laws:
                row = law_row(law, dofs)
                e = row @ u
                # The branch is read at the state given: at a kink the program's own e decides.
                force, slope = respond(law, float(law[f"e_{case}"]), case)
                worst = max(worst, abs(e - float(law[f"e_{case}"])) / (1e-3 + abs(e)),
                            abs(force - float(law[f"force_{case}"])) / (1.0 + abs(force)))
                at = np.nonzero(row)[0]
                built[np.ix_(at, at)] = built[np.ix_(at, at)].toarray() + slope * np.outer(row[at], row[at])
                constant += (force - slope * e) * row
            judge(where, "laws evaluated again", worst)
            tangent_diagonal = sparse.diags(1.0 / np.sqrt(np.maximum(tangent.diagonal(), 1e-30)))
            difference = tangent_diagonal @ (built.tocsc() - tangent) @ tangent_diagonal
            judge(where, "tangent put together again", abs(difference).max())
            judge(where, "offset put together again",
                  np.linalg.norm((constant - offset) / d) / max(np.linalg.norm(load / d), np.linalg.norm(offset / d)))
        scaled = (inverse @ tangent @ inverse).tocsc()
        residual = (tangent @ u + offset - load) / d
        judge(where, "equilibrium of the exported state", np.linalg.norm(residual) / np.linalg.norm(load / d))
        factor = sparse_linalg.splu(scaled)
        right = (load - offset) / d
        solution = factor.solve(right)
        solution += factor.solve(right - scaled @ solution)  # one refinement: the matrix spans many decades
        judge(where, "displacements", np.linalg.norm(solution - d * u) / np.linalg.norm(d * u))
        if case in eigenvalues:
            value = smallest_eigenvalue(scaled)
            # Rounding of the matrix itself moves every eigenvalue by about eps times its norm: a mode that only
            # regularisation holds (1e-3 against 1e7 N/mm) has no nine digits in double precision.
            floor = np.finfo(float).eps * sparse_linalg.norm(scaled, 1) / judge.tolerance
            difference = abs(value - eigenvalues[case])
            note = f" ({value:.12g} N/mm, relative {difference / abs(value):.1e}"
            note += ", below rounding of the stiffest part)" if floor > abs(value) else ")"
            judge(where, "smallest eigenvalue", difference / max(abs(value), floor), note)


def main():
    parser = argparse.ArgumentParser(description="re-solve an exported system with SciPy")
    parser.add_argument("directory", type=pathlib.Path)
    parser.add_argument("--tolerance", type=float, default=1e-9)
    arguments = parser.parse_args()
    judge = Judge(arguments.tolerance)
    if (arguments.directory / "stiffness.mtx").exists():
        folders = [arguments.directory]
    else:
        folders = sorted(p for p in arguments.directory.iterdir() if (p / "stiffness.mtx").exists())
    if not folders:
        sys.exit(f"{arguments.directory}: no folder with a stiffness.mtx in it")
    for folder in folders:
        check_construct(folder, judge)
    print(f"{judge.checks} checks, {judge.bad} over {arguments.tolerance:g}")
    sys.exit(1 if judge.bad else 0)


if __name__ == "__main__":
    main()
