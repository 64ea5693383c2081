#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""`opisthion curves` on a shipped example: JSON, CSV and HDF5 say the same, exit codes, what happens when nothing can be written.

usage: test_curves.py PROGRAM EXAMPLES
"""
import csv
import json
import math
import pathlib
import subprocess
import sys
import tempfile
import unittest

import h5py
import numpy

PROGRAM, EXAMPLES = None, None
PLANES = {"flexion_extension": ("extension", "flexion"), "bending": ("left_bending", "right_bending"),
          "rotation": ("right_rotation", "left_rotation")}
STATUSES = {"solved", "approximate", "mechanism", "no answer"}
ARGUMENTS = ["--construct", "C1 lateral mass + C2 pars", "--steps", "4"]
EXAMPLE = "old_dens_fracture.xml"


def run(*arguments):
    return subprocess.run([PROGRAM, *map(str, arguments)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=300, check=False)


def reject(word):
    raise ValueError(f"{word} is not JSON")


class Curves(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        folder = pathlib.Path(cls.folder.name)
        cls.csv, cls.h5 = folder / "curves.csv", folder / "curves.h5"
        result = run("curves", EXAMPLES / EXAMPLE, "--json", "--quiet", "--csv", cls.csv, "--out", cls.h5, *ARGUMENTS)
        assert result.returncode in (0, 1), result.stderr
        cls.document = json.loads(result.stdout, parse_constant=reject)

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def planes(self):
        for row in self.document["rows"]:
            for name, plane in row["planes"].items():
                yield row, name, plane

    def test_rows_are_the_neck_without_metal_and_then_the_construct_asked_for(self):
        kinds = [row["row"] for row in self.document["rows"]]
        self.assertEqual(kinds, ["intact", "injured", "construct"])
        self.assertEqual(self.document["rows"][-1]["name"], ARGUMENTS[1])
        self.assertIn("Not a medical device", self.document["caution"])
        for row in self.document["rows"]:
            self.assertIn(row["status"], STATUSES)
        self.assertEqual(set(self.document["rows"][0]["planes"]), set(PLANES))

    def test_points_run_from_minus_to_plus_the_maximum_with_all_steps_and_status(self):
        for row, name, plane in self.planes():
            with self.subTest(row=row["name"], plane=name):
                moments = [point["moment_Nm"] for point in plane["points"]]
                self.assertEqual(moments, sorted(moments))
                for step in range(-4, 5):
                    self.assertTrue(any(math.isclose(m, plane["moment_Nm"] * step / 4, abs_tol=1e-12) for m in moments), step)
                for point in plane["points"]:
                    self.assertIn(point["status"], STATUSES)
                    given = point["status"] in ("solved", "approximate")
                    for part, told in zip(plane["parts"], point["parts"].values()):
                        numbers = [*told["rotations_deg"], *told["rotation_vector_deg"], *told["translation_mm"]]
                        self.assertEqual(len(numbers), 9)
                        self.assertEqual([n is None for n in numbers], [not given or part["floats"]] * 9)

    def test_figures_follow_from_the_points(self):
        for row, name, plane in self.planes():
            place = list(PLANES).index(name)
            for index, part in enumerate(plane["parts"]):
                for side, motion in enumerate(PLANES[name]):
                    figures, point = part[motion], plane["points"][-1 if side else 0]
                    if figures["rotation_deg"] is None:
                        continue
                    with self.subTest(row=row["name"], motion=motion, part=part["name"]):
                        told = list(point["parts"].values())[index]
                        self.assertEqual(figures["rotation_deg"], told["rotations_deg"][place])
                        if figures["secant_stiffness_Nm_per_deg"]:
                            self.assertAlmostEqual(figures["secant_stiffness_Nm_per_deg"] * figures["rotation_deg"] / point["moment_Nm"], 1)
                        axis = figures["helical_axis"]
                        angle = numpy.linalg.norm(told["rotation_vector_deg"])
                        self.assertEqual(axis is None, angle < 0.5)
                        if axis:
                            self.assertAlmostEqual(numpy.linalg.norm(axis["direction"]), 1, places=12)
                            self.assertAlmostEqual(axis["rotation_deg"], angle, places=9)

    def test_a_row_without_friction_has_no_loop_and_what_rubs_loses_work(self):
        for row, name, plane in self.planes():
            for part in plane["parts"]:
                if not plane["last_cycle"]:
                    self.assertIsNone(part["loop_area_Nmm"])
                elif part["loop_area_Nmm"] is not None and part["name"] == "overall":
                    self.assertGreaterEqual(part["loop_area_Nmm"], -1e-6, (row["name"], name))

    def test_the_table_says_what_the_document_says_to_the_last_bit(self):
        lines = [line for line in self.csv.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
        table = list(csv.DictReader(lines))
        points = [(row, name, plane, point) for row, name, plane in self.planes() for point in [*plane["points"], *plane["last_cycle"]]]
        self.assertEqual(len(table), len(points))
        for line, (row, name, plane, point) in zip(table, points):
            self.assertEqual((line["row"], line["construct"], line["plane"], line["status"]), (row["row"], row["name"], name, point["status"]))
            self.assertEqual(float(line["moment_Nm"]), point["moment_Nm"])
            for part, told in point["parts"].items():
                for column, value in zip(("flexion", "bending", "rotation"), told["rotations_deg"]):
                    text = line[f"{part}_{column}_deg"]
                    self.assertEqual(float(text) if text else None, value)

    def test_the_file_describes_itself_and_says_what_the_document_says(self):
        with h5py.File(self.h5, "r") as file:
            self.assertEqual(file.attrs["format"], "opisthion-curves")
            self.assertIn("<case", file.attrs["case_xml"])
            self.assertIn("Not a medical device", file.attrs["caution"])

            def look(name, item):
                if isinstance(item, h5py.Dataset):
                    self.assertTrue(item.attrs["unit"] and item.attrs["what"], name)
                    self.assertTrue(all(axis.label for axis in item.dims), name)
            file.visititems(look)
            for index, row in enumerate(self.document["rows"]):
                for name, plane in row["planes"].items():
                    group = file[f"rows/{index}/{name}"]
                    expected = [[[math.nan if n is None else n for n in told["rotations_deg"]] for told in point["parts"].values()]
                                for point in plane["points"]]
                    numpy.testing.assert_array_equal(group["loading/rotations_deg"][()], numpy.array(expected, dtype=float))

    def test_a_result_can_be_solved_again_from_itself_and_threads_change_nothing(self):
        again = run("curves", self.h5, "--json", "--quiet", "--threads", "1", *ARGUMENTS)
        self.assertEqual(json.loads(again.stdout), self.document)

    def test_one_motion_runs_its_side_only(self):
        result = run("curves", EXAMPLES / EXAMPLE, "--json", "--quiet", "--motion", "left_rotation", *ARGUMENTS)
        for row in json.loads(result.stdout)["rows"]:
            self.assertEqual(list(row["planes"]), ["rotation"])
            plane = row["planes"]["rotation"]
            self.assertEqual((plane["left_rotation"]["run"], plane["right_rotation"]["run"]), (True, False))
            self.assertGreaterEqual(min(point["moment_Nm"] for point in plane["points"]), 0)

    def test_text_ends_with_the_caution_and_fits_the_width(self):
        result = run("curves", EXAMPLES / EXAMPLE, "--quiet", *ARGUMENTS)
        text = result.stdout.decode()
        self.assertTrue(text.rstrip().endswith("local rules."))
        self.assertLessEqual(max(map(len, text.splitlines())), 100)


class Mistakes(unittest.TestCase):
    def test_exit_codes_and_nothing_on_stdout(self):
        case = EXAMPLES / EXAMPLE
        for code, arguments in [(2, ["curves"]), (2, ["curves", case, "--motion", "flexon"]), (2, ["curves", case, "--steps", "0"]),
                                (2, ["curves", case, "--construct", "none of these"]), (2, ["curves", case, "--moment", "1,5"]),
                                (4, ["curves", EXAMPLES / "no such file.xml"]), (3, ["curves", EXAMPLES / "c1_screw_toggle.xml"])]:
            with self.subTest(arguments=arguments):
                result = run(*arguments)
                self.assertEqual((result.returncode, result.stdout), (code, b""))
                self.assertTrue(result.stderr)

    def test_what_cannot_be_written_is_an_error_that_leaves_nothing(self):
        with tempfile.TemporaryDirectory() as folder:
            for option in ("--csv", "--out"):
                (pathlib.Path(folder) / "taken").mkdir(exist_ok=True)
                result = run("curves", EXAMPLES / EXAMPLE, "--quiet", "--motion", "flexion", option, f"{folder}/taken", *ARGUMENTS)
                self.assertEqual((result.returncode, result.stdout), (4, b""))
                self.assertEqual([path.name for path in pathlib.Path(folder).iterdir()], ["taken"])


if __name__ == "__main__":
    PROGRAM, EXAMPLES = sys.argv[1], pathlib.Path(sys.argv[2])
    unittest.main(argv=[sys.argv[0], *sys.argv[3:]])
