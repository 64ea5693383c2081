#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""A second judge of finite rotation: takes states that the program found to be in equilibrium (solver/results/export_state)
and works out their energy, the forces left over and the tangent again, with NumPy alone and from the definitions in
solver/core/THEORY.md, not from the program's formulas.

Every element is a strain measure d(poses), a force F(d) and an energy W(d) (full_state_scene.py). d is written down as
geometry, nothing of it is differentiated by hand: derivatives are central differences of d along the exponential retraction.
Friction is elastic about the slip stored in the state, up to its cap. Loads without a potential are forces.

What is linear is made again from its beams, beds and cushions and condensed again, too (full_state_linear.py), so that the
stiffness that rides in a frame is not taken on trust. Some states are in no balance at all and far from the reference pose:
there the residual is large, and all that counts is that both say the same.

Then the judge itself is tried: one pose off by 1e-4, one law, one stiffness and one stored slip off by 1 %,
a moment of another kind: it must see each.

    full_state.py FOLDER [--tolerance 1e-8] [--complete]

--complete: the folder must hold all that this judge was written for (kinds of load, law and element, sliding friction).
"""
import argparse
import json
import pathlib
import sys

import numpy as np

from full_state_linear import LinearParts, riding
from full_state_scene import Scene, log_rotation, moved

ROTATION_SCALE_MM = 20.0  # THEORY 1
LEAST_CARRIED = 1e-4   # of the load: 1 % of a part that carries less is no trial
CAP_TOLERANCE = 1e-5   # the program's rounds stop at 1e-6 of a cap
TANGENT_TOLERANCE = 1e-8
MANY_UNKNOWNS = 60     # with more one direction has to do
ASSEMBLED_TOLERANCE = 1e-6  # relative; mm, rad


def check_linear_parts(scene, where, judge, tolerance):
    text = scene.text
    mine = LinearParts(text, scene.reference).all()
    worst, name = 0.0, ""
    judge(where, "number of linear parts", len(mine) == len(scene.gauges), abs(len(mine) - len(scene.gauges)))
    axis_cushions = iter(text["mesh"]["axis_cushions"])
    for (bodies, k), element in zip(mine, scene.gauges):
        g = element.exported
        assert bodies == [p["body"] for p in g["ports"]], f"{element.name}: other bodies"
        if k is None:
            raw = next(axis_cushions)
            points = [scene.reference[p["body"]] + np.array(p["arm_mm"]) for p in g["ports"]]
            off = max(np.abs(np.array(points) - np.array(raw["point_mm"])).max(),
                      np.abs(np.array(g["axes"]) - np.array(raw["global_from_cushion"])).max())
            same = off if g["laws"] == raw["laws"] else 1.0
        else:
            back = np.zeros_like(k)  # motion of the body from that of the port's point
            for i, p in enumerate(g["ports"]):
                back[6 * i:6 * i + 6, 6 * i:6 * i + 6] = riding(-np.array(p["arm_mm"]))
            k = back.T @ k @ back
            theirs = np.array(g["stiffness"])
            root = np.sqrt(np.maximum(np.diag(k), 1e-9 * np.diag(k).max()))
            same = np.abs((k - theirs) / root[:, None] / root).max()
        if same > worst:
            worst, name = same, element.name
    judge.below(where, "linear parts made again", worst, tolerance, f" ({name})")
    # Ties: on the mesh's neighbours, about one place of both where they count from, as stiff as THEORY 5 says.
    ties = [e.exported for e in scene.ties]
    judge(where, "ties between neighbours", [[t["a"], t["b"]] for t in ties] == text["mesh"]["neighbours"], len(ties))
    factor, start = text["regularisation"], text["assembled"]
    for t in ties:
        stiff = max(abs(t["stiffness_N_per_mm"] - 1e-3 * factor), abs(t["stiffness_Nmm_per_rad"] - factor))
        judge.below(where, "stiffness of a tie", stiff, tolerance)
        if not any(t["force_N"]) and not start:
            middle = (scene.reference[t["a"]] + scene.reference[t["b"]]) / 2
            off = max(np.abs(scene.reference[t[body]] + np.array(t["arm_" + body + "_mm"]) - middle).max() for body in "ab")
            judge.below(where, "place of a tie", off, tolerance)
    if start:
        at_start = [(np.array(p["position_mm"]), np.array(p["rotation"])) for p in start]
        judge.below(where, "ties count from assembly", max(np.abs(e.at(at_start)).max() for e in scene.ties), ASSEMBLED_TOLERANCE)
    # A beam that stands for itself bows where no bone beds it, and nothing else does.
    bows = sum(bool(e.exported.get("bows")) for e in scene.gauges)
    free = sum(b["bone"] < 0 for b in text["mesh"]["beams"]) if not text["mesh"]["components"] else 0
    judge(where, "free beams bow", bows == free, abs(bows - free))


class Judge:
    def __init__(self):
        self.checks = 0
        self.bad = 0

    def __call__(self, where, what, good, figure, note=""):
        self.checks += 1
        self.bad += not good
        print(f"{'ok  ' if good else 'OVER'} {where}: {what}: {figure:.2e}{note}")

    def below(self, where, what, figure, limit, note=""):
        self(where, what, bool(figure <= limit), figure, note)

    def seen(self, where, what, figure, limit):
        self(where, "tried: " + what, bool(figure > limit), figure, "" if figure > limit else " (NOT SEEN)")


def scaled(scene, v):
    return float(np.linalg.norm(v / scene.scale))


def scaled_of(gradient):
    """Of six unknowns a body."""
    return float(np.linalg.norm(gradient.reshape(-1, 6) / ([1.0] * 3 + [ROTATION_SCALE_MM] * 3)))


def load_size(scene):
    total = 0.0
    for load in scene.text["loads"]:
        force = load["force_N"] if load["kind"] == "force" else np.array(load["moment_Nmm"]) / ROTATION_SCALE_MM
        size = np.linalg.norm(force)
        total += (load["factor"] * size) ** 2
    return np.sqrt(total)


def check_elements(scene, where, judge, tolerance):
    """Each part's own figures, so that a difference has a name."""
    worst_e, worst_f, worst_w, names = 0.0, 0.0, 0.0, ["", "", ""]
    for element in scene.elements:
        d = element.at(scene.poses)
        energy, force, _ = element.answer(d)
        w = abs(energy - element.exported["energy_Nmm"]) / (1.0 + abs(energy))
        if w > worst_w:
            worst_w, names[2] = w, element.name
        if "elongation" in element.exported:
            e = abs(d[0] - element.exported["elongation"]) / (1.0 + abs(d[0]))
            f = abs(force[0] - element.exported["force"]) / (1.0 + abs(force[0]))
            if e > worst_e:
                worst_e, names[0] = e, element.name
            if f > worst_f:
                worst_f, names[1] = f, element.name
    judge.below(where, "elongations of laws", worst_e, tolerance, f" ({names[0]})")
    judge.below(where, "forces of laws", worst_f, tolerance, f" ({names[1]})")
    judge.below(where, "energies of parts", worst_w, tolerance, f" ({names[2]})")


def check_stored(scene, where, judge, tolerance):
    """Energy stored since assembly, W(d) - W(d0) - F(d0) (d - d0) (THEORY 8); of friction (F - F0)^2 / 2k."""
    text = scene.text
    start = [(np.array(p["position_mm"]), np.array(p["rotation"])) for p in text["assembled"]] or None

    def stored(element):
        d = element.at(scene.poses)
        energy = element.answer(d)[0]
        law = element.exported.get("law", {})
        if law.get("shape") == "friction":
            def force(e, slip, cap):
                return float(np.clip(law["stiffness"] * (e - slip), -cap, cap))

            now = force(float(np.ravel(d)[0]), law["stored_slip"], law["cap"])
            before = force(float(np.ravel(element.at(start))[0]), law["slip_at_assembly"], law["cap_at_assembly"]) if start else 0.0
            return (now - before) ** 2 / (2 * law["stiffness"])
        if start is None and law:
            return energy
        d0 = element.at(start) if start else 0 * d
        before, force, _ = element.answer(d0)
        return energy - before - force @ (d - d0)

    linear = scene.gauges
    mine = np.array([stored(e) for e in scene.laws + linear] + [sum(map(stored, scene.ties))])
    solver = text["solver"]
    theirs = np.array(solver["law_stored_Nmm"] + solver["linear_stored_Nmm"] + [solver["regularisation_stored_Nmm"]])
    # Differences of large numbers where much was stored before: relative to that.
    whole = sum(abs(e.answers(scene.poses)[0]) for e in scene.elements) + 1.0
    worst = int(np.argmax(np.abs(mine - theirs)))
    names = [e.name for e in scene.laws + linear] + ["regularisation"]
    judge.below(where, "energy stored since assembly, by part", abs(mine - theirs)[worst] / whole, tolerance,
                f" ({names[worst]})")


def check_caps(scene, where, judge):
    worst, sliding = 0.0, 0
    for element in scene.laws:
        law = element.exported["law"]
        if law["shape"] != "friction":
            continue
        normal = sum(f["weight"] * max(0.0, scene.laws[f["law"]].answers(scene.poses)[1][0]) for f in law["normal"])
        cap = law["cap_per_N"] * normal
        worst = max(worst, abs(cap - law["cap"]) / max(cap, law["cap_per_N"] * 1e-3, 1e-30))
        force = element.answers(scene.poses)[1][0]
        sliding += cap > 0 and abs(force) >= cap * (1 - 1e-6)
    if any(e.exported["law"]["shape"] == "friction" for e in scene.laws):
        judge.below(where, "caps of friction", worst, CAP_TOLERANCE, f" ({sliding} slide)")
    return sliding


def check_assembled(scene, where, judge):
    """Before any load: what was tightened pulls as asked, and what was locked last carries nothing."""
    worst = 0.0
    for element in scene.laws:
        asked = element.exported["tighten_N"]
        if asked > 0.0:
            worst = max(worst, abs(element.answers(scene.poses)[1][0] - asked) / asked)
    judge.below(where, "tightened as asked", worst, ASSEMBLED_TOLERANCE)
    most = 0.0
    for element, component in zip(scene.gauges, scene.text["mesh"]["components"]):
        if component["locked_last"]:
            most = max(most, np.abs(element.at(scene.poses)).max())
    judge.below(where, "what is locked last is free of deformation", most, ASSEMBLED_TOLERANCE)


def try_judge(scene, where, judge, gradients, claimed, size, tolerance):
    """Each change below is one that the program could have made wrong; each must show in the residual."""
    def difference(poses, changed):
        return scaled(scene, scene.residual(poses, gradients, changed)[0] - claimed) / size

    def touching(body):
        return [i for i, e in enumerate(scene.elements) if body in e.bodies]

    kept = [b for b, f in enumerate(scene.first_dof) if f >= 0]
    body = kept[len(kept) // 2]
    jump = 0.0
    for k in range(6):
        step = np.zeros(6)
        step[k] = 1e-4 if k < 3 else 1e-4 / ROTATION_SCALE_MM
        poses = list(scene.poses)
        poses[body] = moved(poses[body], step)
        jump = max(jump, difference(poses, touching(body)))
    judge.seen(where, f"body {body} off by 1e-4 mm", jump, 10 * tolerance)

    plain = [i for i, e in enumerate(scene.laws) if e.exported["law"]["shape"] != "friction"]
    strongest = max(plain, key=lambda i: abs(scene.laws[i].exported["force"]))
    law = scene.laws[strongest].exported["law"]
    stiff = {key: law[key] for key in ("stiffness", "value", "slope_below", "slope_above") if key in law}
    for key, value in stiff.items():
        law[key] = list(1.01 * np.array(value)) if isinstance(value, list) else 1.01 * value
    judge.seen(where, f"{scene.laws[strongest].name} 1 % stiffer", difference(scene.poses, [strongest]), 10 * tolerance)
    law.update(stiff)

    linear = [i for i, e in enumerate(scene.elements) if i >= len(scene.laws) and "stiffness" in e.exported]
    forces = {i: scaled_of(gradients[i]) for i in linear}
    most = max(linear, key=forces.get, default=None)
    if most is not None and forces[most] > LEAST_CARRIED * size:
        again = json.loads(json.dumps(scene.elements[most].exported))
        again["stiffness"] = (1.01 * np.array(again["stiffness"])).tolist()
        before, scene.elements[most] = scene.elements[most], scene.gauge_element(again)
        judge.seen(where, f"{before.name} 1 % stiffer", difference(scene.poses, [most]), 10 * tolerance)
        scene.elements[most] = before

    for i, element in enumerate(scene.laws):
        law = element.exported["law"]
        if law["shape"] != "friction" or law["cap"] < 0.1:
            continue
        travel = law["cap"] / law["stiffness"]
        moved_by = element.at(scene.poses)[0] - law["stored_slip"]
        if abs(moved_by) > travel * (1.0 + 1e-3):
            continue  # far beyond the cap friction does not ask how far
        before = law["stored_slip"]
        law["stored_slip"] += 0.01 * travel * (np.sign(moved_by) or 1.0)  # towards where it carries nothing
        judge.seen(where, f"stored slip of {element.name} off by 1 %", difference(scene.poses, [i]), 10 * tolerance)
        law["stored_slip"] = before
        break

    for load in scene.text["loads"]:
        if load["kind"] == "force" or load["factor"] == 0.0:
            continue
        kind = load["kind"]
        turned = np.linalg.norm(log_rotation(scene.poses[load["body"]][1] @ np.array(load["zero_rotation"]).T))
        axis_kept = np.linalg.norm(np.cross(log_rotation(scene.poses[load["body"]][1] @ np.array(load["zero_rotation"]).T),
                                            load["moment_Nmm"])) / np.linalg.norm(load["moment_Nmm"])
        if axis_kept < 1e-4:
            print(f"     {where}: a turn of {turned:.3f} rad about the moment's own axis: all kinds of moment are one")
            continue
        for other in ("conservative", "fixed_axis", "following"):
            if other == kind:
                continue
            load["kind"] = other
            judge.seen(where, f"moment {other} instead of {kind}", difference(scene.poses, []), 10 * tolerance)
        load["kind"] = kind


def check(path, judge, tolerance, found):
    with open(path, encoding="utf-8") as file:
        text = json.load(file)
    if text.get("format") != "opisthion full state" or text.get("format_version") != 1:
        sys.exit(f"{path}: not a full state that this judge knows")
    where = text["name"]
    scene = Scene(text)
    converged = text["converged"]
    claimed = np.array(text["solver"]["residual"])
    size = max([load_size(scene)] + [law["tighten_N"] for law in text["laws"]]) if converged else scaled(scene, claimed)
    unloaded = load_size(scene) == 0.0
    for pose in scene.poses:
        assert np.abs(pose[1] @ pose[1].T - np.eye(3)).max() < 1e-12, "a pose is no rotation"
    held = [b for b, f in zip(text["bodies"], scene.first_dof) if f < 0]
    assert all(b["position_mm"] == b["reference_mm"] or not b["held"] for b in held), "a held body has moved"

    check_linear_parts(scene, where, judge, tolerance)
    check_elements(scene, where, judge, tolerance)
    energies = [e.answers(scene.poses)[0] for e in scene.elements]
    loads = [scene.load_answer(load, scene.poses)[0] for load in text["loads"]]
    potential = sum(energies) + sum(loads)
    reference = sum(map(abs, energies)) + sum(map(abs, loads))
    judge.below(where, "energy less work of loads", abs(potential - text["solver"]["potential_Nmm"]) / reference, tolerance,
                f" ({sum(energies):.6g} N mm strain energy)")
    own, gradients = scene.residual(scene.poses)
    judge.below(where, "residual against the program's", scaled(scene, own - claimed) / size, tolerance,
                f" (load {size:.3g} N)")
    # The program stops at 1e-9 of the load or where positions' last digit times its stiffest part stands.
    check_stored(scene, where, judge, tolerance)
    sliding = 0
    if converged:
        judge.below(where, "residual itself", scaled(scene, own) / size, 10 * tolerance)
        sliding = check_caps(scene, where, judge)
    if unloaded:
        check_assembled(scene, where, judge)

    tangent = np.array(text["solver"]["tangent"])
    worst = 0.0
    random = np.random.default_rng(20)
    for _ in range(2 if scene.dofs < MANY_UNKNOWNS else 1):
        v = random.standard_normal(scene.dofs) / scene.scale
        claimed_v = tangent @ v
        # Row by row against the row's own stiffness, so that soft bodies count as much as stiff ones.
        row = np.abs(tangent) @ np.abs(v)
        worst = max(worst, float(np.max(np.abs(scene.tangent_along(v) - claimed_v) / np.maximum(row, 1e-3 * scene.scale))))
    judge.below(where, "tangent along random directions", worst, TANGENT_TOLERANCE)

    try_judge(scene, where, judge, gradients, claimed, size, tolerance)
    found |= {load["kind"] for load in text["loads"] if load["factor"] != 0.0}
    found |= {law["kind"] for law in text["laws"]} | {g["what"] for g in text["gauge_elements"]}
    found |= {"regularisation"} if text["neighbour_ties"] else set()
    found |= {"sliding friction"} if sliding else set()
    found |= {"bowing"} if any(g.get("bows") for g in text["gauge_elements"]) else set()
    found |= {"held by ties"} if any(any(t["force_N"]) for t in text["neighbour_ties"]) else set()
    found |= {"locked last"} if any(c["locked_last"] for c in text["mesh"]["components"]) else set()
    found |= {"tightened"} if any(law["tighten_N"] > 0 for law in text["laws"]) else set()


COMPLETE = {"conservative", "fixed_axis", "following", "force", "strand", "pad", "ring_arch", "ring_ligament", "slip", "turn",
            "condensed metal", "element", "regularisation", "sliding friction", "bowing", "held by ties", "tightened", "locked last"}


def main():
    parser = argparse.ArgumentParser(description="judge exported states in finite rotation with NumPy")
    parser.add_argument("folder", type=pathlib.Path)
    parser.add_argument("--tolerance", type=float, default=1e-8)
    parser.add_argument("--complete", action="store_true", help="everything this judge was written for must occur")
    arguments = parser.parse_args()
    paths = sorted(arguments.folder.glob("*.json"))
    if not paths:
        sys.exit(f"{arguments.folder}: no state in it")
    judge, found = Judge(), set()
    for path in paths:
        check(path, judge, arguments.tolerance, found)
    missing = sorted(COMPLETE - found) if arguments.complete else []
    for what in missing:
        print(f"OVER the folder: no state with: {what}")
    print(f"{len(paths)} states, {judge.checks} checks, {judge.bad + len(missing)} failed")
    sys.exit(1 if judge.bad or missing else 0)


if __name__ == "__main__":
    main()
