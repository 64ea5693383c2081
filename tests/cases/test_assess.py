#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""`opisthion assess` on the shipped examples: JSON, HDF5, equal bytes, exit codes, what happens when nothing can be written.

usage: test_assess.py PROGRAM EXAMPLES
"""
import json
import math
import os
import pathlib
import pty
import re
import resource
import subprocess
import sys
import tempfile
import unittest

import h5py
import numpy

PROGRAM, EXAMPLES = None, None
MOTIONS = ["flexion", "extension", "left_bending", "right_bending", "left_rotation", "right_rotation"]
STATUSES = {"solved", "approximate", "mechanism", "no answer"}


def run(*arguments, **options):
    options.setdefault("stdout", subprocess.PIPE)
    return subprocess.run([PROGRAM, *map(str, arguments)], stderr=subprocess.PIPE, timeout=120, check=False, **options)


def example(name):
    return EXAMPLES / name


def reject(word):
    raise ValueError(f"{word} is not JSON")


def assessed(name, *arguments):
    result = run("assess", example(name), "--json", "--quiet", *arguments)
    assert result.returncode in (0, 1), result.stderr
    return json.loads(result.stdout, parse_constant=reject)


def numbers(value):
    if isinstance(value, dict):
        for one in value.values():
            yield from numbers(one)
    elif isinstance(value, list):
        for one in value:
            yield from numbers(one)
    elif isinstance(value, float):
        yield value


def figures_of(load):
    return load.get("small_displacement") or load.get("approximate_figures") or load


class Json(unittest.TestCase):
    def test_every_example_has_the_keys_and_keeps_the_status_rules(self):
        for path in sorted(EXAMPLES.glob("*.xml")):
            with self.subTest(path.name):
                document = assessed(path.name)
                self.assertLessEqual({"schema", "program", "case", "caution", "bench", "constructs"}, document.keys())
                self.assertIn("Not a medical device", document["caution"])
                self.assertTrue(all(map(math.isfinite, numbers(document))))
                for construct in document["constructs"]:
                    self.check_construct(construct, document["bench"])

    def check_construct(self, construct, bench):
        self.assertLessEqual({"name", "kinematics", "status", "reason", "motions", "shear", "axial", "softest", "solve"}, construct.keys())
        self.assertIn(construct["status"], STATUSES)
        self.assertTrue(construct["reason"])
        self.assertLessEqual({"load_fraction", "iterations", "residual", "regularisation_work_share", "discretisation_error"},
                             construct["solve"].keys())
        if bench["top"] and construct["status"] != "no answer":
            self.assertEqual(list(construct["motions"]), MOTIONS)
        order = ["solved", "approximate", "mechanism", "no answer"]
        loads = [*construct["motions"].values(), *construct["shear"], *construct["axial"], *construct["heads"]]
        if loads:
            self.assertEqual(construct["status"], max((load["status"] for load in loads), key=order.index))
        for motion in construct["motions"].values():
            self.assertAlmostEqual(motion["moment_Nm"], bench["moment_Nm"], places=12)
            self.check_figures(motion, "rotation_deg", "secant_stiffness_Nm_per_deg", motion["moment_Nm"])
        for force in [*construct["shear"], *construct["axial"], *construct["heads"]]:
            self.check_figures(force, "travel_mm", "stiffness_N_per_mm", force["force_N"])
        for line in (load["line"] for load in construct["axial"]):
            self.assertTrue(line)
        for soft in construct["softest"]:
            self.assertIn(soft["unit"], {"N m/deg", "N/mm"})
            self.assertGreater(soft["stiffness"], 0)

    def check_figures(self, load, move, stiffness, action):
        if load["status"] == "solved":
            figures = load
            self.assertNotIn("small_displacement", load)
        else:
            self.assertTrue(load["reason"])
            self.assertIsNone(load[move])
            self.assertIsNone(load[stiffness])
            for joint in load.get("joints", {}).values():
                self.assertIsNone(joint["rotation_deg"])
            if load["status"] != "approximate":
                self.assertNotIn("small_displacement", load)
                return
            self.assertNotEqual("small_displacement" in load, "approximate_figures" in load)  # of small, of full kinematics
            figures = load["small_displacement"] if "small_displacement" in load else load["approximate_figures"]
            if load["beyond_physical_end"]:  # no runaway is printed as a value
                self.assertIn("physical end", load["reason"])
                self.assertIsNone(figures[move])
                self.assertIsNone(figures[stiffness])
                self.assertEqual(set(figures["measures"].values()), {None})
                return
        self.assertFalse(load["beyond_physical_end"])
        self.assertIsInstance(figures[move], (int, float))
        if figures[move]:
            self.assertAlmostEqual(figures[stiffness] * figures[move] / action, 1.0, places=12)  # a secant is load over movement
            # no passive structure moves against its load
            self.assertGreater(figures[stiffness], 0)
        for joint in figures.get("joints", {}).values():
            self.assertLessEqual({"rotation_deg", "rotations_deg", "translation_mm"}, joint.keys())
            self.assertEqual(len(joint["rotations_deg"]), 3)
        self.assertLessEqual({"atlas_dens_interval_mm", "cord_room_mm", "c1_slip_mm"}, figures["measures"].keys())

    def test_left_and_right_answer_alike_on_a_construct_that_is_its_own_mirror_image(self):
        # The neck's two sides differ only in what the CT says of the artery and the bone, not in this construct's screws.
        construct = assessed("torn_transverse_ligament.xml", "--construct", "two transarticular")["constructs"][0]
        figures = {name: figures_of(m) for name, m in construct["motions"].items()}
        for kind in ("bending", "rotation"):
            left, right = figures["left_" + kind]["rotation_deg"], figures["right_" + kind]["rotation_deg"]
            self.assertAlmostEqual(left / right, 1.0, places=8)

    def test_one_joint_turns_as_the_whole_does(self):
        for construct in assessed("old_dens_fracture.xml")["constructs"]:
            for motion in construct["motions"].values():
                figures = motion.get("small_displacement", motion)
                if figures["rotation_deg"] is not None:
                    self.assertAlmostEqual(figures["joints"]["C1-C2"]["rotation_deg"], figures["rotation_deg"], places=9)

    def test_no_pair_inside_the_resolution_is_left_out(self):
        document = assessed("old_dens_fracture.xml")
        told = {(p["motion"], p["a"], p["b"]) for p in document["comparison"]["not_distinguishable"]}
        constructs = document["constructs"]
        expected = set()
        for name in MOTIONS:
            for i, a in enumerate(constructs):
                for b in constructs[i + 1:]:
                    # Approximate motions are null: small-displacement values prove nothing, so they are not compared.
                    one, other = (c["motions"][name]["rotation_deg"] for c in (a, b))
                    if one is not None and other is not None and abs(one - other) < 0.3:
                        expected.add((name, a["name"], b["name"]))
        self.assertEqual(told, expected)

    def test_a_construct_that_this_neck_does_not_take_says_so_beside_its_figures(self):
        # The case file gives the right of C2 a high artery; every screw but the laminar one passes it.
        for construct in assessed("old_dens_fracture.xml", "--motion", "flexion")["constructs"]:
            for anchor in construct["fit"]:
                with self.subTest(construct=construct["name"], anchor=anchor["anchor"]):
                    self.assertEqual(set(anchor), {"anchor", "kind", "verdict", "artery_in_the_way", "text"})
                    high = anchor["anchor"].endswith("right") and anchor["kind"] in {"pars", "pedicle", "transarticular"}
                    self.assertEqual(anchor["artery_in_the_way"], high)
                    self.assertEqual("the artery runs high" in anchor["text"], high)
                    if high:
                        self.assertEqual(anchor["verdict"], "does not fit")
                    else:
                        self.assertEqual(anchor["verdict"], "marginal" if anchor["kind"] == "laminar" else "fits")

    def test_options_choose_motion_moment_and_construct(self):
        document = assessed("old_dens_fracture.xml", "--motion", "flexion", "--motion", "left rotation", "--moment", "1.0 N m",
                            "--construct", "two transarticular")
        self.assertEqual([c["name"] for c in document["constructs"]], ["two transarticular"])
        self.assertEqual(list(document["constructs"][0]["motions"]), ["flexion", "left_rotation"])
        self.assertEqual(document["constructs"][0]["motions"]["flexion"]["moment_Nm"], 1.0)
        self.assertEqual(document["constructs"][0]["shear"], [])


class Hdf5(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.path = pathlib.Path(self.folder.name) / "result.h5"
        self.result = run("assess", example("old_dens_fracture.xml"), "--json", "--quiet", "--out", self.path)
        self.assertIn(self.result.returncode, (0, 1), self.result.stderr)

    def tearDown(self):
        self.folder.cleanup()

    def test_every_dataset_says_unit_meaning_and_axes(self):
        def look(name, item):
            if isinstance(item, h5py.Dataset):
                self.assertTrue(item.attrs["unit"], name)
                self.assertTrue(item.attrs["what"], name)
                for axis in item.dims:
                    self.assertTrue(axis.label, name)
        with h5py.File(self.path) as file:
            file.visititems(look)
            for key in ("format", "format_version", "program", "version", "caution", "case_xml", "kinematics"):
                self.assertTrue(file.attrs[key], key)

    def test_numbers_equal_the_json_ones(self):
        document = json.loads(self.result.stdout)
        nan = lambda value: math.nan if value is None else value
        with h5py.File(self.path) as file:
            for index, construct in enumerate(document["constructs"]):
                group = file["constructs"][str(index)]
                self.assertEqual(group.attrs["name"], construct["name"])
                moved = construct["moved_by_assembly"]
                self.assertEqual(list(group["assembly/joint"].asstr()[:]), list(moved))
                for key in ("rotations_deg", "translation_mm"):
                    numpy.testing.assert_array_equal(group["assembly"][key][:], numpy.reshape([j[key] for j in moved.values()], (-1, 3)))
                places = [(group, lambda m: m)]
                for apart in ("small_displacement", "approximate_figures"):
                    here = any(apart in m for m in construct["motions"].values())
                    self.assertTrue(not here or apart in group)
                    if apart in group:
                        places.append((group[apart], lambda m, apart=apart: m.get(apart)))
                self.assertEqual("small_displacement" in group, construct["kinematics"] == "small")
                for where, pick in places:
                    for key in ("rotation_deg", "secant_stiffness_Nm_per_deg", "tangent_stiffness_Nm_per_deg", "lax_zone_deg"):
                        wanted = [nan((pick(m) or {}).get(key)) for m in construct["motions"].values()]
                        numpy.testing.assert_array_equal(where[key][:], wanted)
                    for key in ("c1_slip_mm", "cord_room_mm", "atlas_dens_interval_mm"):
                        wanted = [nan((pick(m) or {}).get("measures", {}).get(key)) for m in construct["motions"].values()]
                        numpy.testing.assert_array_equal(where[key][:], wanted)
                numpy.testing.assert_array_equal(group["shear"]["force_N"][:], [f["force_N"] for f in construct["shear"]])
                for key in ("travel_mm", "lax_zone_mm"):
                    numpy.testing.assert_array_equal(group["axial"][key][:], [nan(f[key]) for f in construct["axial"]])
                friction = construct.get("friction_range", {})
                self.assertEqual("friction_range" in group, bool(friction))
                cells = [cell for states in friction.values() for levels in states.values() for cell in levels.values()]
                for cell in cells:
                    self.assertEqual(cell["status"] == "approximate", "approximate_figures" in cell)
                told = [c["approximate_figures"]["rotation_deg"] for c in cells if "approximate_figures" in c]
                self.assertEqual(bool(told), "friction_range/approximate_figures" in group)
                if told:
                    apart = group["friction_range/approximate_figures/rotation_deg"][:]
                    numpy.testing.assert_array_equal(numpy.sort(apart[~numpy.isnan(apart)]), numpy.sort(told))
                numpy.testing.assert_array_equal(group["softest"]["stiffness"][:], [s["stiffness"] for s in construct["softest"]])

    def test_a_result_can_be_solved_again_from_itself(self):
        again = run("assess", self.path, "--json", "--quiet")
        self.assertEqual(again.stdout, self.result.stdout)
        other = self.path.with_name("other.h5")
        run("assess", example("old_dens_fracture.xml"), "--quiet", "--moment", "1.0 N m", "--out", other)
        again = json.loads(run("assess", other, "--json", "--quiet").stdout)
        self.assertEqual(again["bench"]["moment_Nm"], 1.0)

    def test_the_reader_in_examples_makes_a_table_of_it(self):
        table = subprocess.run([sys.executable, EXAMPLES / "read_results.py", self.path], capture_output=True, text=True, check=True).stdout
        self.assertIn("midline wired graft", table)
        with h5py.File(self.path) as file:
            necks = [neck.attrs["name"] for neck in file["necks"].values()]
            full = file.attrs["kinematics"] == "full"
        self.assertEqual(len(necks), 2)
        for words in (*necks, "share of the rotation of the intact neck's", "share of the rotation of the injured neck's"):
            self.assertIn(words, table)
        self.assertEqual("small-displacement" in table, not full)
        self.assertIn("Not a medical device", table)

    def test_bytes_do_not_depend_on_threads_or_on_the_run(self):
        texts, files = set(), set()
        for index, threads in enumerate((1, 2, 5, 1)):
            path = self.path.with_name(f"{index}.h5")
            texts.add(run("assess", example("old_dens_fracture.xml"), "--json", "--threads", threads, "--out", path).stdout)
            files.add(path.read_bytes())
        self.assertEqual((len(texts), len(files)), (1, 1))

    def test_a_write_that_fails_leaves_the_old_file_and_nothing_else(self):
        before = self.path.read_bytes()
        limit = lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))  # stands for a full disk
        failed = run("assess", example("old_dens_fracture.xml"), "--quiet", "--out", self.path, preexec_fn=limit)
        self.assertEqual(failed.returncode, 4, failed.stderr)
        self.assertIn(b"result.h5", failed.stderr)
        self.assertEqual(self.path.read_bytes(), before)
        self.assertEqual(os.listdir(self.folder.name), ["result.h5"])

    def test_what_is_no_place_for_a_file_is_refused(self):
        for place in (self.folder.name, self.path / "below.h5", pathlib.Path(self.folder.name) / "absent" / "a.h5", "/dev/full"):
            failed = run("assess", example("old_dens_fracture.xml"), "--quiet", "--motion", "flexion", "--out", place)
            self.assertEqual(failed.returncode, 4, (place, failed.stderr))
            self.assertEqual(failed.stdout, b"")
        self.assertFalse(os.path.isfile("/dev/full"))


class Screen(unittest.TestCase):
    def test_the_table_names_every_construct_and_ends_with_the_caution(self):
        result = run("assess", example("old_dens_fracture.xml"))
        text = result.stdout.decode()
        for construct in assessed("old_dens_fracture.xml")["constructs"]:
            self.assertIn(construct["name"], text)
        self.assertTrue(text.rstrip().endswith("local rules."))
        self.assertLessEqual(max(map(len, text.splitlines())), 100)
        self.assertNotIn("\x1b", text)  # no colour into a pipe
        self.assertNotIn(b"\x1b", result.stderr)

    def test_no_color_is_kept_on_a_terminal(self):
        for value, coloured in (("", True), ("1", False)):
            ours, theirs = pty.openpty()
            environment = {**os.environ, "NO_COLOR": value, "TERM": "xterm"}
            process = subprocess.Popen([PROGRAM, "assess", example("torn_transverse_ligament.xml"), "--quiet"], stdout=theirs,
                                       stderr=subprocess.DEVNULL, env=environment)
            os.close(theirs)
            seen = b""
            while True:
                try:
                    piece = os.read(ours, 65536)
                except OSError:  # the other end is closed
                    break
                if not piece:
                    break
                seen += piece
            process.wait(timeout=60)
            os.close(ours)
            self.assertEqual(b"\x1b[" in seen, coloured, value)

    def test_a_full_or_closed_stdout_is_an_output_error(self):
        for arguments in (["assess", example("old_dens_fracture.xml")], ["assess", example("old_dens_fracture.xml"), "--json"],
                          ["library"], ["check", example("old_dens_fracture.xml")], ["--help"]):
            with open("/dev/full", "wb") as full:
                self.assertEqual(run(*arguments, stdout=full).returncode, 4, arguments)
        closed = subprocess.run(["sh", "-c", '"$0" assess "$1" >&-', PROGRAM, example("old_dens_fracture.xml")], stderr=subprocess.PIPE, check=False)
        self.assertEqual(closed.returncode, 4)

    def test_help_and_version_go_to_stdout(self):
        self.assertEqual(run("--version").stdout.split()[0], b"opisthion")
        for arguments in (["--help"], ["assess", "--help"], ["check", "--help"], ["library", "--help"]):
            result = run(*arguments)
            self.assertEqual(result.returncode, 0)
            self.assertIn(b"Example", result.stdout)

    def test_usage_mistakes_are_told_with_the_nearest_word(self):
        case = example("old_dens_fracture.xml")
        for arguments, word in ((["asess", case], b"assess"), (["assess", case, "--motoin", "flexion"], b"--motion"),
                                (["assess", case, "--motion", "flexon"], b"flexion"),
                                (["assess", case, "--construct", "two transarticula"], b"two transarticular"),
                                (["assess", case, "--moment", "1.5"], b"N m"), (["assess", case, "--moment", "-1 N m"], b"more than 0"),
                                (["assess", case, "--threads", "0"], b"threads"), ([], b"Usage"), (["assess"], b"CASE"),
                                (["library", "nothing-of-the-kind"], b"no number")):
            result = run(*arguments)
            self.assertEqual(result.returncode, 2, arguments)
            self.assertIn(word, result.stderr, arguments)
            self.assertEqual(result.stdout, b"", arguments)

    def test_files_that_cannot_be_read_and_files_that_are_no_case(self):
        with tempfile.TemporaryDirectory() as folder:
            absent, large, broken = (os.path.join(folder, name) for name in ("absent.xml", "large.xml", "broken.xml"))
            pathlib.Path(large).write_bytes(b"<case>" + b" " * 10_000_000)
            pathlib.Path(broken).write_text('<case name="x\x1b[31m" version="1"><nek/></case>', encoding="utf-8")
            for command in ("assess", "check"):
                self.assertEqual(run(command, absent).returncode, 4)
                self.assertEqual(run(command, folder).returncode, 4)
                self.assertEqual(run(command, large).returncode, 3)
                result = run(command, broken)
                self.assertEqual(result.returncode, 3)
                self.assertIn(b"broken.xml:1:", result.stdout + result.stderr)
                self.assertNotIn(b"\x1b", result.stdout + result.stderr)


class Check(unittest.TestCase):
    def test_what_does_not_fit_is_a_warning_with_its_place_and_is_counted(self):
        path = example("old_dens_fracture.xml")
        result = run("check", path)
        self.assertEqual(result.returncode, 0)  # a warning is no error
        text = result.stdout.decode()
        lines = path.read_text(encoding="utf-8").splitlines()
        places = re.findall(re.escape(str(path)) + r":(\d+):(\d+):\s+(warning|note):\s([^|]*)", text)
        for line, column, severity, words in places:
            at = lines[int(line) - 1][int(column) - 1:]
            if "the artery runs high" in " ".join(words.split()):
                self.assertEqual(severity, "warning")
                self.assertRegex(at, r'^anchor name="[^"]* right" kind="(pars|pedicle|transarticular)"')
            elif "leans" in words:
                self.assertEqual(severity, "warning")
                self.assertTrue(at.startswith("rod "), at)
            else:
                self.assertEqual(severity, "note")
                self.assertRegex(at, r'kind="laminar"')
        # Four screws beside the high artery, two rods in heads of pars screws, three laminar screws with little to spare.
        self.assertEqual([place[2] for place in places].count("warning"), 6)
        self.assertEqual([place[2] for place in places].count("note"), 3)
        self.assertIn("\n0 errors, 6 warnings, 3 notes\n", text)

    def test_one_of_a_kind_is_counted_in_the_singular(self):
        text = example("old_dens_fracture.xml").read_text(encoding="utf-8")
        neck, *constructs = re.split(r"(?=\n  <construct )", text.replace("</case>", ""))
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "one.xml"
            path.write_text(neck + constructs[0] + "\n</case>", encoding="utf-8")
            self.assertIn(b"\n0 errors, 1 warning, 0 notes\n", run("check", path).stdout)


class Export(unittest.TestCase):
    def test_the_exported_system_balances(self):
        # K u + offset = load, with nothing but the files: Matrix Market read by hand, dense algebra by NumPy.
        def matrix(path):
            lines = [line.split() for line in path.read_text().splitlines() if not line.startswith("%")]
            rows, columns = int(lines[0][0]), int(lines[0][1])
            if len(lines[0]) == 2:
                return numpy.array([float(line[0]) for line in lines[1:]])
            dense = numpy.zeros((rows, columns))
            for row, column, value in lines[1:]:
                dense[int(row) - 1, int(column) - 1] = dense[int(column) - 1, int(row) - 1] = float(value)
            return dense
        with tempfile.TemporaryDirectory() as folder:
            result = run("assess", example("old_dens_fracture.xml"), "--quiet", "--export-system", folder)
            self.assertIn(result.returncode, (0, 1), result.stderr)
            constructs = sorted(pathlib.Path(folder).iterdir())
            self.assertEqual(len(constructs), 10)
            for construct in (c for c in constructs if c.name.split('_')[0] in ('1', '3', '9', '10')):
                fixed = matrix(construct / "regularisation.mtx")
                for case in ("flexion", "left_rotation", "shear_C1_plus", "axial_C1_minus"):
                    load, u = matrix(construct / f"load_{case}.mtx"), matrix(construct / f"displacement_{case}.mtx")
                    tangent, offset = matrix(construct / f"stiffness_{case}.mtx"), matrix(construct / f"offset_{case}.mtx")
                    left = (tangent + fixed) @ u + offset
                    self.assertLess(numpy.abs(left - load).max() / numpy.abs(load).max(), 1e-7)
                    self.assertIn(f"\n{case},", (construct / "smallest_eigenvalue.csv").read_text())


if __name__ == "__main__":
    PROGRAM, EXAMPLES = sys.argv[1], pathlib.Path(sys.argv[2])
    unittest.main(argv=[sys.argv[0], *sys.argv[3:]], verbosity=2)
