# SPDX-License-Identifier: MIT
"""Strain measures, laws and sums of an exported state in finite rotation, from the definitions in solver/core/THEORY.md.

Nothing is differentiated by hand: derivatives are central differences along the exponential retraction.
"""
import numpy as np

# Sixth-order central differences: with these steps neither truncation (step / size)^6 nor rounding reaches 1e-10.
STEP_MM, STEP_RAD = 0.03, 1.5e-3
STENCIL = [(1, 3 / 4), (2, -3 / 20), (3, 1 / 60)]
CORNER = 1e-9          # that close to a law's corner (mm, rad) the tangent is that of either side
LEAST_SLIDE_ACROSS = 0.5  # a leg more along its slide than across it (60 deg) does not slide: prestress.hpp

def cross_matrix(v):
    return np.array([[0.0, -v[2], v[1]], [v[2], 0.0, -v[0]], [-v[1], v[0], 0.0]])


def exp_rotation(v):
    """By unit quaternion."""
    angle = np.sqrt(v @ v)
    w, s = np.cos(angle / 2), 0.5 * np.sinc(angle / (2 * np.pi))  # sin(angle/2)/angle
    x, y, z = s * v
    return np.array([[1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
                     [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
                     [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)]])


def log_rotation(r):
    """Rotation vector, angle in [0, pi), by the quaternion of the largest component."""
    squares = 0.25 * np.array([1 + r[0, 0] + r[1, 1] + r[2, 2], 1 + r[0, 0] - r[1, 1] - r[2, 2],
                               1 - r[0, 0] + r[1, 1] - r[2, 2], 1 - r[0, 0] - r[1, 1] + r[2, 2]])
    products = 0.25 * np.array([[0, r[2, 1] - r[1, 2], r[0, 2] - r[2, 0], r[1, 0] - r[0, 1]],
                                [0, 0, r[0, 1] + r[1, 0], r[0, 2] + r[2, 0]],
                                [0, 0, 0, r[1, 2] + r[2, 1]],
                                [0, 0, 0, 0]])
    products = products + products.T + np.diag(squares)
    largest = int(np.argmax(squares))
    q = products[largest] / np.sqrt(squares[largest])
    q = q / np.linalg.norm(q)
    if q[0] < 0:
        q = -q
    sine = np.linalg.norm(q[1:])
    if sine < 1e-8:
        return 2.0 * q[1:] / q[0]
    return 2.0 * np.arctan2(sine, q[0]) * q[1:] / sine


def log_near(r, branch):
    """The same rotation's vector (angle plus 2 pi n about the same axis) nearest to `branch`."""
    v = log_rotation(r)
    angle = np.linalg.norm(v)
    if angle < 1e-9:
        return v
    options = [v * (angle + 2 * np.pi * n) / angle for n in range(-3, 4)]
    return min(options, key=lambda o: np.linalg.norm(o - branch))


def polar(m):
    """Nearest rotation, by singular values."""
    u, _, vt = np.linalg.svd(m)
    return u @ np.diag([1.0, 1.0, np.linalg.det(u @ vt)]) @ vt


def retraction_jacobian(v, terms=6):
    """L: exp(v + dv) = exp(L dv) exp(v), as the series sum [v]x^k/(k+1)! (v is small here)."""
    out, term = np.eye(3), np.eye(3)
    for k in range(1, terms):
        term = term @ cross_matrix(v) / (k + 1)
        out = out + term
    return out


def respond(law, e):
    """Energy, force, slope, and how far the next corner of the force is."""
    shape = law["shape"]
    if shape == "toe_linear":
        x, toe, k = e - law["slack"], law["toe"], law["stiffness"]
        corner = min(abs(x), abs(x - toe)) if toe == 0.0 else np.inf  # with a toe the force is smooth but for its bend
        if x <= 0.0:
            return 0.0, 0.0, 0.0, corner
        if x < toe:
            return k * x**3 / (6 * toe), k * x * x / (2 * toe), k * x / toe, corner
        return k * (x * x / 2 - toe * x / 2 + toe * toe / 6), k * (x - toe / 2), k, corner
    if shape == "friction":
        x, k, cap = e - law["stored_slip"], law["stiffness"], law["cap"]
        if cap <= 0.0 or k <= 0.0:
            return 0.0, 0.0, 0.0, np.inf
        corner = abs(abs(x) - cap / k)
        if k * abs(x) <= cap:
            return k * x * x / 2, k * x, k, corner
        return cap * abs(x) - cap * cap / (2 * k), cap * np.sign(x), 0.0, corner
    # Polygon: the energy is the area under it, from e = 0.
    at, value = np.array(law["at"]), np.array(law["value"])

    def force(t):
        if t < at[0]:
            return value[0] + law["slope_below"] * (t - at[0])
        if t >= at[-1]:
            return value[-1] + law["slope_above"] * (t - at[-1])
        return np.interp(t, at, value)

    low, high = min(0.0, e), max(0.0, e)
    stops = [low] + [a for a in at if low < a < high] + [high]
    area = sum((b - a) * (force(a) + force(b)) / 2 for a, b in zip(stops, stops[1:]))
    i = int(np.searchsorted(at, e, side="right"))
    if i == 0:
        slope = law["slope_below"]
    elif i == len(at):
        slope = law["slope_above"]
    else:
        slope = (value[i] - value[i - 1]) / (at[i] - at[i - 1])
    return (area if e >= 0 else -area), force(e), slope, float(np.min(np.abs(at - e)))


GAUSS = np.array([-np.sqrt(0.6), 0.0, np.sqrt(0.6)]) / 2 + 0.5, np.array([5.0, 8.0, 5.0]) / 18  # exact to the fifth power


def bow_slopes(beam):
    """Rows: v' and w' of a free beam at the Gauss points, of its 12 end motions in its own axes. Between its ends it is the
    cantilever from a under the end force and moment that its end motions ask for: v' = theta + Q/kGA, theta' = M/EI."""
    length, (at, weights) = beam["length_mm"], GAUSS
    out = []
    for bending, shear, ends, sign in ((beam["EIz_Nmm2"], beam["kGAy_N"], [1, 5, 7, 11], [1, 1, 1, 1]),
                                       (beam["EIy_Nmm2"], beam["kGAz_N"], [2, 4, 8, 10], [1, -1, 1, -1])):
        def motion(x, end, shear=shear, bending=bending):
            """(v, theta, v') at x under Q = 1 or M = 1 at the end, from a held root."""
            force = np.array([length * x * x / 2 - x**3 / 6, length * x - x * x / 2, 0.0]) / bending
            moment = np.array([x * x / 2, x, 0.0]) / bending
            force[2], moment[2] = force[1] + 1 / shear, moment[1]
            force[0] += x / shear
            return (force, moment)[end]

        tip = np.array([motion(length, 0)[:2], motion(length, 1)[:2]]).T  # motion of b from (Q, M)
        # b's motion beyond that of the rigid body that a carries along
        own = np.array([[-1.0, -length, 1.0, 0.0], [0.0, -1.0, 0.0, 1.0]])
        loads = np.linalg.solve(tip, own)
        for x, weight in zip(length * at, length * weights):
            row = np.zeros(12)
            row[ends] = (np.array([0.0, 1.0, 0.0, 0.0]) + np.array([motion(x, 0)[2], motion(x, 1)[2]]) @ loads) * sign
            out.append((weight, row))
    return out


def bowing(beam):
    """What a free beam's bow adds (THEORY 7): its axial strain is the mean of u' + v'^2/2 + w'^2/2. Energy, force, slope."""
    turn = np.kron(np.eye(4), np.array(beam["global_from_beam"]))
    stretch = turn @ np.concatenate([[-1, 0, 0, 0, 0, 0], [1, 0, 0, 0, 0, 0]])
    slopes = [(weight, turn @ row) for weight, row in bow_slopes(beam)]
    k = beam["EA_N"] / beam["length_mm"]

    def answer(d):
        u = stretch @ d
        e = u + sum(weight * (row @ d) ** 2 / 2 for weight, row in slopes)
        by_d = stretch + sum(weight * (row @ d) * row for weight, row in slopes)
        second = k * (np.outer(by_d, by_d) + e * sum(weight * np.outer(row, row) for weight, row in slopes))
        return k * (e * e - u * u) / 2, k * (e * by_d - u * stretch), second - k * np.outer(stretch, stretch)

    return answer


class Element:
    """bodies: that it touches. measure(poses of these) -> d; answer(d) -> (energy, force, slope matrix)."""

    def __init__(self, name, bodies, measure, answer, exported):
        self.name, self.bodies, self.measure, self.answer, self.exported = name, bodies, measure, answer, exported

    def at(self, poses):
        return self.measure({b: poses[b] for b in self.bodies})

    def derivative(self, poses):
        """Rows: components of d; columns: six unknowns a body (translation, spin), by central differences."""
        own = {b: poses[b] for b in self.bodies}
        columns = []
        for b in self.bodies:
            p, r = poses[b]
            for steps in STEPS:
                columns.append(sum(weight * self.measure({**own, b: (p + shift, r if turn is None else turn @ r)})
                                   for weight, shift, turn in steps))
        return np.array(columns).T

    def answers(self, poses):
        return self.answer(self.at(poses))

    def gradient(self, poses):
        force = self.answers(poses)[1]
        if not force.any():
            return np.zeros(6 * len(self.bodies))
        return self.derivative(poses).T @ force


def moved(pose, step):
    return pose[0] + step[:3], exp_rotation(step[3:]) @ pose[1]


def difference_steps(k):
    """(weight, translation, rotation or None) of the points of the difference along unknown k."""
    out, h = [], STEP_MM if k < 3 else STEP_RAD
    for times, weight in STENCIL:
        for sign in (1, -1):
            v = np.zeros(3)
            v[k % 3] = sign * times * h
            out.append((sign * weight / h, v, None) if k < 3 else (sign * weight / h, np.zeros(3), exp_rotation(v)))
    return out


STEPS = [difference_steps(k) for k in range(6)]


class Scene:
    """The exported text, with geometry as functions of poses."""

    def __init__(self, text):
        self.text = text
        self.reference = [np.array(b["reference_mm"]) for b in text["bodies"]]
        self.poses = [(np.array(b["position_mm"]), np.array(b["rotation"])) for b in text["bodies"]]
        self.first_dof = [b["first_dof"] for b in text["bodies"]]
        self.dofs = 6 * sum(f >= 0 for f in self.first_dof)
        self.scale = np.array(text["solver"]["dof_scale"])
        self.at_rest = [(p, np.eye(3)) for p in self.reference]
        self.laws = [self.law_element(i) for i in range(len(text["laws"]))]
        # which beam each free one is: of those between the same two bodies, in their order
        free = [beam for beam in text["mesh"]["beams"] if beam["bone"] < 0]
        for g in text["gauge_elements"]:
            if g.get("bows"):
                own = next(b for b in free if [b["a"], b["b"]] == [p["body"] for p in g["ports"]])
                free.remove(own)
                g["beam"] = own
        self.gauges = [self.gauge_element(g) for g in text["gauge_elements"]]
        self.ties = [self.tie_element(t) for t in text["neighbour_ties"]]
        self.elements = self.laws + self.gauges + self.ties

    # -- points

    def rider(self, at):
        """Function of poses: where a point of the reference pose is now."""
        body, arm = at["body"], np.array(at["point_mm"]) - self.reference[at["body"]]
        return lambda poses: poses[body][0] + poses[body][1] @ arm

    def seen_from(self, at, b):
        """Function of poses: where the point is in b's axes, from b's reference point."""
        point = self.rider(at)
        return lambda poses: poses[b][1].T @ (point(poses) - poses[b][0])

    # -- regularisation

    def tie_element(self, t):
        """Isotropic springs on the relative motion as the lower body sees it, and what they hold (THEORY 7)."""
        a, b = t["a"], t["b"]
        arm_a, arm_b, start = (np.array(t[key]) for key in ("arm_a_mm", "arm_b_mm", "reference"))
        k = np.diag([t["stiffness_N_per_mm"]] * 3 + [t["stiffness_Nmm_per_rad"]] * 3)
        held = np.array(t["force_N"] + t["moment_Nmm"])

        def measure(poses):
            (pa, ra), (pb, rb) = poses[a], poses[b]
            return np.concatenate([rb.T @ (pa + ra @ arm_a - pb) - arm_b, log_rotation(rb.T @ ra @ start.T)])

        return Element("regularisation", [a, b], measure, lambda d: (d @ k @ d / 2 + held @ d, k @ d + held, k), t)

    # -- laws

    def law_element(self, i):
        law = self.text["laws"][i]
        kind = law["kind"]
        make = {"strand": self.strand, "pad": self.pad, "ring_arch": self.ring, "ring_ligament": self.ring,
                "slip": self.slip, "turn": self.turn}[kind]
        bodies, value = make(i, law)
        rest = value(self.at_rest)

        def answer(d):
            energy, force, slope, corner = respond(law["law"], d[0])
            if corner < CORNER:  # which side is rounding: the program's own choice
                slope = law["stiffness"]
            return energy, np.array([force]), np.array([[slope]])

        return Element(f"law {i} ({kind})", bodies, lambda poses: np.array([value(poses) - rest]), answer, law)

    def strand(self, i, law):
        """Length of the path. Where metal slips through a loop the loop stays where it was on the bone (THEORY 9)."""
        path = law["path"]
        pieces = []
        for a, b in zip(path, path[1:]):
            slid = self.slid_segment(i, a, b, {at["body"] for at in path})
            if slid is None:
                x, y = self.rider(a), self.rider(b)
                pieces.append(lambda poses, x=x, y=y: np.linalg.norm(y(poses) - x(poses)))
            else:
                pieces.append(slid)
        bodies = list(dict.fromkeys(at["body"] for at in path))
        return bodies, lambda poses: sum(piece(poses) for piece in pieces)

    def slid_segment(self, strand, a, b, on_path):
        """Friction that feeds on this strand and acts on metal at this segment's end says along what it slides."""
        if a["body"] == b["body"]:
            return None
        along = np.array(b["point_mm"]) - np.array(a["point_mm"])
        n = along / np.linalg.norm(along)
        metal, bone, ways = None, None, []
        for slip in self.text["laws"]:
            if slip["kind"] != "slip" or all(f["law"] != strand for f in slip["law"]["normal"]):
                continue
            for body in (slip["a"]["body"], slip["b"]):
                if self.text["bodies"][body]["kind"] != "metal" or body not in (a["body"], b["body"]):
                    continue
                assert body in on_path
                end, other = (b, a) if body == b["body"] else (a, b)
                if metal is not None and metal["body"] != end["body"]:
                    continue
                way = np.array(slip["direction"])
                way = way - (way @ n) * n
                for w in ways:
                    way = way - (way @ w) * w
                if np.linalg.norm(way) < LEAST_SLIDE_ACROSS:
                    continue
                metal, bone = end, other
                ways.append(way / np.linalg.norm(way))
        if metal is None:
            return None
        seen = self.seen_from(metal, bone["body"])
        foot = np.array(bone["point_mm"]) - self.reference[bone["body"]]
        before = seen(self.at_rest)
        keep = np.eye(3) - sum(np.outer(w, w) for w in ways)
        return lambda poses: np.linalg.norm(before + keep @ (seen(poses) - before) - foot)

    def pad(self, _, law):
        """Minus f/|grad f|, f = z - (s x^2 + c y^2)/2 in the axes of the surface, which rides on b."""
        b, frame = law["b"], np.array(law["global_from_surface"])
        seen = self.seen_from(law["a"], b)
        vertex = np.array(law["vertex_mm"]) - self.reference[b]
        s, c = law["curvature_sagittal_per_mm"], law["curvature_coronal_per_mm"]

        def value(poses):
            x, y, z = frame.T @ (seen(poses) - vertex)
            return -(z - (s * x * x + c * y * y) / 2) / np.sqrt(1 + (s * x) ** 2 + (c * y) ** 2)

        return [law["a"]["body"], b], value

    def ring(self, _, law):
        """A flat face that rides on the ring and meets the dens at its axis; the ligament's gain per mm backwards."""
        seen = self.seen_from({"body": law["dens"], "point_mm": law["axis_point_mm"]}, law["ring"])
        way = np.array(law["anterior"]) * (1.0 if law["kind"] == "ring_arch" else -law["gain"])
        return [law["dens"], law["ring"]], lambda poses: way @ seen(poses)

    def slip(self, _, law):
        seen, way = self.seen_from(law["a"], law["b"]), np.array(law["direction"])
        return [law["a"]["body"], law["b"]], lambda poses: way @ seen(poses)

    def turn(self, _, law):
        a, b, way = law["a"]["body"], law["b"], np.array(law["direction"])
        return [a, b], lambda poses: way @ log_rotation(poses[b][1].T @ poses[a][1])

    # -- parts that ride in a frame

    def gauge_element(self, g):
        ports = g["ports"]
        bodies = list(dict.fromkeys(p["body"] for p in ports))
        arms = [np.array(p["arm_mm"]) for p in ports]
        p0 = np.array([p["reference_mm"] for p in ports])
        r0 = [np.array(p["reference_rotation"]) for p in ports]
        w = np.array([p["position_weight"] for p in ports])
        l2 = np.array([p["rotation_weight_mm2"] for p in ports])
        pair = len(ports) == 2 and not w.any() and l2[0] == l2[1]

        def places(poses):
            return (np.array([poses[p["body"]][0] + poses[p["body"]][1] @ arm for p, arm in zip(ports, arms)]),
                    [poses[p["body"]][1] @ r.T for p, r in zip(ports, r0)])

        def of_pair(poses):
            """In the mean frame of two bodies, R_a exp(1/2 log R_a^T R_b) (THEORY 7); no polar factor here."""
            x, q = places(poses)
            theta = log_rotation(q[0].T @ q[1])
            mean = q[0] @ exp_rotation(theta / 2)
            return np.concatenate([mean.T @ (x[1] - x[0]) - (p0[1] - p0[0]), theta])

        def of_many(poses):
            x, q = places(poses)
            weights = w / w.sum() if w.any() else np.full(len(w), 1 / len(w))
            x_mean, p_mean = weights @ x, weights @ p0
            m = sum(wi * np.outer(xi - x_mean, pi - p_mean) for wi, xi, pi in zip(w, x, p0))
            gauge = polar(m + sum(li * qi for li, qi in zip(l2, q)))
            return np.concatenate([np.concatenate([gauge.T @ (xi - x_mean) - (pi - p_mean), log_rotation(gauge.T @ qi)])
                                   for xi, pi, qi in zip(x, p0, q)])

        if "laws" in g:
            axes = np.kron(np.eye(2), np.array(g["axes"]))

            def answer(d):
                e = axes.T @ d
                parts = [respond(law, x) for law, x in zip(g["laws"], e)]
                force = axes @ np.array([p[1] for p in parts])
                return sum(p[0] for p in parts), force, axes @ np.diag([p[2] for p in parts]) @ axes.T
        else:
            k = np.array(g["stiffness"])
            f0 = np.array(g.get("force0", np.zeros(len(k))))
            if pair:  # on the motion of the second relative to the first, or it would push on the common translation
                worst = max(np.abs(k + np.block([[k[:6, 6:]], [k[6:, 6:]]]) @ np.hstack([np.eye(6), -np.eye(6)])).max()
                            / np.abs(k).max(), np.abs(f0[:6] + f0[6:]).max() / (1.0 + np.abs(f0).max()))
                assert worst < 1e-12, f"{g['what']}: stiffness is not on relative motion ({worst:.1e})"
                k, f0 = k[6:, 6:], f0[6:]

            bow = bowing(g["beam"]) if "beam" in g else lambda d: (0.0, 0.0, 0.0)

            def answer(d):
                energy, force, slope = bow(d)
                return d @ (k @ d) / 2 + f0 @ d + energy, k @ d + f0 + force, k + slope

        assert pair or "laws" not in g
        return Element(g["what"], bodies, of_pair if pair else of_many, answer, g)

    # -- sums

    def add(self, out, bodies, own):
        for at, b in enumerate(bodies):
            if self.first_dof[b] >= 0:
                out[self.first_dof[b]:self.first_dof[b] + 6] += own[6 * at:6 * at + 6]

    def load_answer(self, load, poses):
        """Potential (none: 0) and what the load takes from the residual, on its body."""
        p, r = poses[load["body"]]
        out = np.zeros(6)
        if load["kind"] == "force":
            arm, force = r @ np.array(load["arm_mm"]), load["factor"] * np.array(load["force_N"])
            out[:3], out[3:] = force, np.cross(arm, force)
            return -force @ (p + arm), out
        zero, moment = np.array(load["zero_rotation"]), load["factor"] * np.array(load["moment_Nmm"])
        if load["kind"] == "fixed_axis":
            out[3:] = moment
            return 0.0, out
        if load["kind"] == "following":
            out[3:] = r @ zero.T @ moment
            return 0.0, out
        assert load["kind"] == "conservative", load["kind"]

        def potential(step):
            return -moment @ log_near(exp_rotation(step) @ r @ zero.T, np.array(load["branch"]))

        for k in range(3):
            for times, weight in STENCIL:
                step = np.zeros(3)
                step[k] = times * STEP_RAD
                out[3 + k] -= weight * (potential(step) - potential(-step)) / STEP_RAD
        return potential(np.zeros(3)), out

    def residual(self, poses, kept=None, changed=()):
        """Internal forces minus loads. `kept`: gradients of elements to take as they are, but for those in `changed`."""
        out = np.zeros(self.dofs)
        gradients = []
        for i, element in enumerate(self.elements):
            own = element.gradient(poses) if kept is None or i in changed else kept[i]
            gradients.append(own)
            self.add(out, element.bodies, own)
        for load in self.text["loads"]:
            self.add(out, [load["body"]], -self.load_answer(load, poses)[1])
        return out, gradients

    def stepped(self, poses, step):
        return [moved(pose, step[f:f + 6]) if f >= 0 else pose for pose, f in zip(poses, self.first_dof)]

    def tangent_along(self, v):
        """Derivative along v of the gradient in the chart of the retraction: laws by their own slopes, geometry by
        differences of d's derivative at forces held (so that no corner of a law lies between the two sides)."""
        h = 4e-3  # fourth-order central difference
        out = np.zeros(self.dofs)

        def chart(poses_gradient, bodies, step):
            own = np.array(poses_gradient)
            for at, b in enumerate(bodies):
                if self.first_dof[b] >= 0:
                    turn = step[self.first_dof[b] + 3:self.first_dof[b] + 6]
                    own[6 * at + 3:6 * at + 6] = retraction_jacobian(turn).T @ own[6 * at + 3:6 * at + 6]
            return own

        sides = [(weight / h, times * h * v, self.stepped(self.poses, times * h * v))
                 for times, weight in ((1, 2 / 3), (-1, -2 / 3), (2, -1 / 12), (-2, 1 / 12))]
        for element in self.elements:
            _, force, slope = element.answers(self.poses)
            if not force.any() and not slope.any():
                continue
            here = element.derivative(self.poses)
            own_v = np.concatenate([v[self.first_dof[b]:self.first_dof[b] + 6] if self.first_dof[b] >= 0 else np.zeros(6)
                                    for b in element.bodies])
            own = here.T @ (slope @ (here @ own_v))
            for weight, step, poses in sides:
                own = own + weight * chart(element.derivative(poses).T @ force, element.bodies, step)
            self.add(out, element.bodies, own)
        for load in self.text["loads"]:
            for weight, step, poses in sides:
                self.add(out, [load["body"]], -weight * chart(self.load_answer(load, poses)[1], [load["body"]], step))
        return out
