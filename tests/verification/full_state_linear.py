# SPDX-License-Identifier: MIT
"""Linear parts of an exported state, made again from beams, beds and cushions and condensed again. NumPy alone."""
import numpy as np

from full_state_scene import cross_matrix


def bar(rigidity, length):
    return rigidity / length * np.array([[1.0, -1.0], [-1.0, 1.0]])


def free_bending(ei, kga, length):
    """(v, theta) at a and b: the flexibility of a cantilever, turned round, and what balances it at the other end."""
    shear = length / kga if kga > 0.0 else 0.0
    flexibility = np.array([[length**3 / (3 * ei) + shear, length**2 / (2 * ei)], [length**2 / (2 * ei), length / ei]])
    balance = np.array([[-1.0, 0.0], [-length, -1.0], [1.0, 0.0], [0.0, 1.0]])
    return balance @ np.linalg.inv(flexibility) @ balance.T


def exponential(a, terms=20):
    out, term = np.eye(len(a)), np.eye(len(a))
    for k in range(1, terms):
        term = term @ a / k
        out = out + term
    return out


def eliminate(k, out):
    """Schur complement over the unknowns `out`, in their own scales."""
    stay = np.setdiff1d(np.arange(len(k)), out)
    if len(out) == 0:
        return k
    d = 1.0 / np.sqrt(np.diag(k)[out])
    inner = d[:, None] * k[np.ix_(out, out)] * d
    across = d[:, None] * k[np.ix_(out, stay)]
    return k[np.ix_(stay, stay)] - across.T @ np.linalg.solve(inner, across)


def bedded(length, stretch, piece, n):
    """A member of n unknowns an end in a bed, from equal pieces short enough for a Taylor series, doubled up."""
    doublings = max(0, int(np.ceil(np.log2(max(stretch, 1e-9)))) + 1)
    k = piece(length / 2**doublings)
    for _ in range(doublings):
        both = np.zeros((3 * n, 3 * n))
        both[:2 * n, :2 * n] += k
        both[n:, n:] += k
        k = eliminate(both, np.arange(n, 2 * n))
    return k


def bedded_bending(ei, kga, length, bed):
    """v' = theta + Q/kGA, theta' = M/EI, M' = -Q, Q' = k v (THEORY 3)."""
    if bed == 0.0:
        return free_bending(ei, kga, length)

    def piece(l):
        shear = ei / (kga * l * l) if kga > 0.0 else 0.0
        t = exponential(np.array([[0, 1, 0, shear], [0, 0, 1, 0], [0, 0, 0, -1], [bed * l**4 / ei, 0, 0, 0]], dtype=float))
        near = np.hstack([-np.linalg.solve(t[:2, 2:], t[:2, :2]), np.linalg.inv(t[:2, 2:])])  # (M, Q) at a
        far = t[2:, 2:] @ near
        far[:, :2] += t[2:, :2]
        scale = np.array([1.0 / l, 1.0, 1.0 / l, 1.0])
        k = ei / l * scale[:, None] * np.vstack([-near[1], -near[0], far[1], far[0]]) * scale
        return (k + k.T) / 2

    return bedded(length, length * (bed / ei) ** 0.25, piece, 2)


def bedded_bar(rigidity, length, bed):
    if bed == 0.0:
        return bar(rigidity, length)

    def piece(l):
        t = exponential(np.array([[0.0, 1.0], [bed * l * l / rigidity, 0.0]]))
        return rigidity / l * np.array([[t[0, 0], -1.0], [-1.0, t[1, 1]]]) / t[0, 1]

    return bedded(length, length * (bed / rigidity) ** 0.5, piece, 1)


def beam_stiffness(beam):
    """12x12 on (translation, rotation) of a and b, global axes."""
    length, bed = beam["length_mm"], beam["k_lateral_MPa"]
    k = np.zeros((12, 12))
    k[np.ix_([0, 6], [0, 6])] = bedded_bar(beam["EA_N"], length, beam["k_axial_MPa"])
    k[np.ix_([3, 9], [3, 9])] = bedded_bar(beam["GJ_Nmm2"], length, beam["k_torsional_N"])
    k[np.ix_([1, 5, 7, 11], [1, 5, 7, 11])] = bedded_bending(beam["EIz_Nmm2"], beam["kGAy_N"], length, bed)
    flip = np.diag([1.0, -1.0, 1.0, -1.0])  # turning about y moves the end down
    k[np.ix_([2, 4, 8, 10], [2, 4, 8, 10])] = flip @ bedded_bending(beam["EIy_Nmm2"], beam["kGAz_N"], length, bed) @ flip
    turn = np.kron(np.eye(4), np.array(beam["global_from_beam"]))
    return turn @ k @ turn.T


def riding(arm):
    """Motion (translation, rotation) of a point at `arm` from that of its body."""
    out = np.eye(6)
    out[:3, 3:] = -cross_matrix(arm)
    return out


class LinearParts:
    """Every linear part as (bodies, stiffness on the bodies' reference points), in the order of the export."""

    def __init__(self, text, reference):
        self.mesh, self.reference = text["mesh"], reference
        self.metal = [b["kind"] == "metal" for b in text["bodies"]]

    def beam(self, beam):
        bodies, k = [beam["a"], beam["b"]], beam_stiffness(beam)
        if beam["bone"] < 0:
            return bodies, k
        bone = beam["bone"]
        relative = np.zeros((12, 18))
        relative[:, :12] = np.eye(12)
        relative[:6, 12:] = -riding(self.reference[beam["a"]] - self.reference[bone])
        relative[6:, 12:] = -riding(self.reference[beam["b"]] - self.reference[bone])
        return bodies + [bone], relative.T @ k @ relative

    def cushion(self, cushion):
        return self.between(cushion["a"], cushion["b"], np.array(cushion["point_mm"]), cushion["global_from_cushion"],
                            np.array(cushion["stiffness"]))

    def between(self, a, b, point, frame, stiffness):
        turn = np.kron(np.eye(2), np.array(frame))
        relative = np.hstack([-riding(point - self.reference[a]), riding(point - self.reference[b])])
        k = relative.T @ turn @ stiffness @ turn.T @ relative
        return [a, b], (k + k.T) / 2

    def component(self, component):
        parts = [self.beam(self.mesh["beams"][i]) for i in component["beams"]]
        parts += [self.cushion(self.mesh["cushions"][i]) for i in component["cushions"]]
        place = {b: 6 * i for i, b in enumerate(component["ports"] + component["interior"])}
        k = np.zeros((6 * len(place), 6 * len(place)))
        for bodies, own in parts:
            at = np.concatenate([place[b] + np.arange(6) for b in bodies])
            k[np.ix_(at, at)] += own
        return component["ports"], eliminate(k, np.arange(6 * len(component["ports"]), len(k)))

    def all(self):
        # Nothing condensed away: every part stands for itself.
        condensed = [self.component(c) for c in self.mesh["components"]]

        def stands(part):
            return not condensed or not (self.metal[part["a"]] or self.metal[part["b"]])

        out = condensed + [self.beam(b) for b in self.mesh["beams"] if stands(b)]
        out += [self.cushion(c) for c in self.mesh["cushions"] if stands(c)]
        out += [([c["a"], c["b"]], None) for c in self.mesh["axis_cushions"]]
        return out
