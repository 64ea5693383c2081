#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""The real program on bad input: a clear message each, the right exit code, nothing half-written.

usage: python3 test_bad_input.py PATH_TO_OPISTHION
Exit codes of the program: 0 solved, 1 some construct without an answer, 2 usage, 3 case file, 4 input/output, 70 our bug.
"""
import json
import os
import re
import resource
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

HERE = Path(__file__).resolve().parent
BAD = HERE / "bad_input"
SAMPLES = HERE / "samples"
PROGRAM = ""

USAGE, CASE_FILE, IO = 2, 3, 4
MISSING_UNIT = "expected a length in mm, cm or m, found '18' (did you mean '18 mm'?)"

# file -> (line:column of the first error, parts of the messages)
FILES = {
    "anchor_at_wrong_level": ("11:47", ["anchor 'C2 left', attribute 'level': expected C2, the only level for a pars anchor, found 'C1'"]),
    "below_the_foramen": ("10:63", ["anchor 'keel 2', attribute 'below_inion': expected at most 47.1 mm, where the bone ends at the foramen, found '59 mm'"]),
    "body_line_at_c1": ("8:42", ["bench, axial, attribute 'line': expected lateral masses or dens, for C1 has no vertebral body, found 'body'"]),
    "closed_loop_of_two": ("11:6", ["rod 'left': expected four stops or more for a closed loop, found 2"]),
    "combined_with_opposite": ("6:89", ["combined 'both ways', part, attribute 'motion': expected one part about each axis, found right rotation after left rotation"]),
    "connector_to_itself": ("11:90", ["rod 'left', through: expected another rod to connect to, found 'left' itself"]),
    "connector_without_joint": ("12:41", ["rod 'extension', through: expected an attribute 'at' beside 'rod': the joint where the connector sits, found 'left'"]),
    "construct_called_intact": ("6:20", ["construct 'intact': expected a name other than 'intact' and 'injured': these two rows are the neck without metal, found 'intact'"]),
    "control_in_name": ("9:20", ["expected a name without control characters, found 'one\\x0aside'"]),
    "cross_link_to_one_rod": ("12:45", ["cross_link 'link': expected two different rods, found 'left' at both ends"]),
    "cross_link_where_no_rod_is": ("14:56", ["cross_link 'link', attribute 'at': expected a joint that both rods pass, found C4-C5 with rod 'left' from C3 to C4"]),
    "dead_weight_without_top": ("7:6", ["bench, dead_weight: expected an attribute 'top' on <bench>: the level that the weight lies on, found nothing"]),
    "decimal_comma": ("10:81", ["anchor 'C1 left', attribute 'diameter': expected a length in mm, cm or m, found '3,5 mm' (did you mean '3.5 mm'?)"]),
    "dens_fracture_with_level": ("6:52", ["instability 'fresh dens fracture': expected no level for this kind, found attribute 'level'"]),
    "empty_case": ("1:2", ["attribute 'name'", "attribute 'version'", "an element <neck>", "an element <bench>", "an element <construct>"]),
    "entity_expansion": ("2:1", ["entities are not read, found '<!DOCTYPE'"]),
    "external_entity": ("2:1", ["entities are not read, found '<!DOCTYPE'"]),
    "facetectomy_of_c1_c2": ("6:44", ["instability 'facetectomy', attribute 'joint': expected a joint that has these parts, C2 to T3, found 'C1-C2'"]),
    "five_keel_screws": ("14:6", ["plate 'keel plate': expected at most 4 keel screws through a midline plate, found 5"]),
    "follower_above_150": ("6:22", ["bench, follower, attribute 'force': expected a force from 0 N to 150 N, found '200 N'"]),
    "follower_without_top": ("7:6", ["bench, follower: expected an attribute 'top' on <bench>: the level that the cable is tied to, found nothing"]),
    "graft_and_spacer_in_one_joint": ("13:6", ["spacer 'spacer': expected one graft or spacer in the left C1-C2 lateral joint, found 'graft' there already"]),
    "graft_in_lateral_joint_of_c3": ("12:64", ["graft 'graft', attribute 'lower': expected C2: a lateral joint graft lies between C1 and C2, found 'C3'"]),
    "guide_below_bottom": ("6:43", ["bench, follower, guide, attribute 'level': expected a level that the cable passes, C0 to C6, found 'C7'"]),
    "half_a_step": ("5:38", ["bench, attribute 'steps': expected a whole number from 2 to 100, found '10.5'"]),
    "head_flexion_without_head": ("4:45", ["neck: expected this in a neck with C0 and C1, between which the head flexes, found attribute 'head_flexion'"]),
    "head_load_on_wire": ("8:36", ["head_load 'pull', attribute 'anchor': expected an anchor with a head, which no wire has, found 'C2 left', a sublaminar wire"]),
    "healed_above_all": ("12:68", ["graft 'graft', attribute 'healed': expected a percentage from 0 % to 100 %, found '120 %'"]),
    "hook_at_c4": ("9:47", ["anchor 'C4 left', attribute 'level': expected a level for a hook anchor, C1 to C2 or C7 to T3, found 'C4'"]),
    "hook_with_length": ("9:71", ["anchor 'C1 left': expected no length for a hook anchor: only screws have one, found attribute 'length'"]),
    "infinite": ("10:97", ["attribute 'length': expected a length in mm, cm or m, found 'inf mm'"]),
    "intact_after_injury": ("6:70", ["bench, sequence, state, attribute 'row': expected the intact state first: a specimen that was injured is not intact again, found intact after 'screws'"]),
    "keel_screw_on_rod": ("12:39", ["rod 'left', through: expected no keel anchor, which goes through a midline plate, found 'keel 1'"]),
    "keel_screws_too_close": ("10:6", ["anchor 'keel 2': expected keel anchors apart by their diameter, 4.5 mm, found 2 mm from 'keel 1'"]),
    "keel_thickness_at_c2": ("5:34", ["level 'C2': expected this size at C0 only, found attribute 'keel_upper'"]),
    "lag_without_joint": ("10:68", ["anchor 'C2 left': expected no lag for a pars anchor: only screws that cross a joint press it together, found attribute 'lag'"]),
    "laminectomy_under_wire": ("10:6", ["anchor 'C4 left': expected bone for this anchor to hold, found none: the lamina of C4 is removed (laminectomy)"]),
    "laminectomy_without_level": ("5:6", ["instability 'laminectomy': expected attribute 'level', found nothing"]),
    "lateral_mass_in_keel_plate": ("11:57", ["plate 'plate', through: expected keel screws alone through a midline plate, found 'C3 left', a lateral mass anchor"]),
    "locks_coincide": ("13:6", ["the locks of ", "mm apart, less than the rod's diameter of 12.0 mm"]),
    "many_mistakes": ("4:16", ["found 'C11'", "found 'latral mass' (did you mean 'lateral mass'?)", "found '-18 mm'", "found 'parse' (did you mean 'pars'?)", "found attribute 'metall' (did you mean 'metal'?)"]),
    "mass_width_at_c2": ("5:63", ["level 'C2', left: expected this size at C1 to C7 but not C2, found attribute 'lateral_mass_width'"]),
    "missing_side": ("9:6", ["anchor 'C1 left': expected attribute 'side', found nothing"]),
    "negative_size": ("10:97", ["greater than 0 and at most 120 mm, found '-18 mm'"]),
    "no_load": ("8:4", ["bench: expected a load"]),
    "no_unit": ("10:97", ["anchor 'C1 left', attribute 'length': " + MISSING_UNIT]),
    "not_a_number": ("10:97", ["found 'nan mm'"]),
    "one_cycle": ("5:39", ["bench, attribute 'cycles': expected a whole number from 2 to 5, found '1'"]),
    "one_head_twice": ("14:24", ["each anchor head on one rod, once, found 'C1 left' again, which rod 'left' goes through"]),
    "overflow": ("10:97", ["found '1e999 mm'"]),
    "path_of_pars_screw": ("10:69", ["anchor 'C2 left': expected no path for a pars anchor: only lateral mass screws of C3 to C7 have a choice, found attribute 'path'"]),
    "percent_without_unit": ("5:58", ["instability 'facetectomy', attribute 'share': expected a percentage greater than 0 and at most 100 %, found '50' (did you mean '50 %'?)"]),
    "plate_without_rod": ("11:6", ["plate 'keel plate': expected a rod through it (on the skull alone it holds nothing), found nothing"]),
    "reduced_more_than_slip": ("6:46", ["joint 'C1-C2', attribute 'reduced': expected a part of the slip, from 0 mm to 3 mm, found '4 mm'"]),
    "reduced_the_wrong_way": ("6:47", ["joint 'C1-C2', attribute 'reduced': expected a part of the slip, from -3 mm to 0 mm, found '2 mm'"]),
    "reduced_without_slip": ("6:34", ["joint 'C1-C2', attribute 'reduced': expected a slip beside it: what has not slipped cannot be reduced, found '4 mm'"]),
    "ring_fracture_under_arch_screw": ("11:6", ["anchor 'C1 left': expected bone for this anchor to hold, found none: the left lateral mass of C1 is broken off the arch (ring fracture)"]),
    "rod_on_both_sides": ("11:66", ["rod 'left', through: expected stops on one side (a rod that is pre-bent or closed may cross), found 'C4 right' on the right beside 'C3 left' on the left"]),
    "rod_upside_down": ("14:24", ["expected anchors from above to below, found 'C1 left' at C1 after 'C2 left' at C2"]),
    "rod_with_one_anchor": ("12:6", ["rod 'left': expected two anchors or more to go through, found 1"]),
    "rod_would_bend": ("13:6", ["rod 'left' would have to bend to a radius of "]),
    "share_above_all": ("5:58", ["instability 'facetectomy', attribute 'share': expected a percentage greater than 0 and at most 100 %, found '150 %'"]),
    "side_of_keel_screw": ("9:69", ["anchor 'keel 1': expected no side, for a keel anchor stands in the middle, found attribute 'side'"]),
    "spacer_in_destroyed_mass": ("13:6", ["spacer 'spacer': expected bone above and below it, found none: the left lateral mass of C1 is destroyed"]),
    "spinous_wire_at_c1": ("12:49", ["tie 'wire', attribute 'upper': expected a level for a spinous wire, C2 to T1, found 'C1'"]),
    "taper_beyond_rod": ("10:54", ["rod 'left', attribute 'taper_at': expected a joint that the rod passes, found C4-C5 on a rod from C3 to C4"]),
    "taper_without_joint": ("11:54", ["rod 'left': expected an attribute 'taper_at' beside it: the joint below which the rod has that diameter, found 'lower_diameter'"]),
    "tension_on_screw": ("9:80", ["anchor 'C1 left': expected no tension for a lateral mass anchor: only wires and hooks are tightened, found attribute 'tension'"]),
    "through_both": ("14:84", ["rod 'left', through: expected one of anchor, plate or rod and no second one beside it, found attribute 'plate'"]),
    "through_nothing": ("11:77", ["rod 'left', through: expected one of the attributes anchor, plate or rod, found nothing"]),
    "tie_upside_down": ("9:60", ["tie 'wire', attribute 'lower': expected a level below the upper one, C2, found 'C1'"]),
    "tie_with_side": ("9:70", ["tie 'wire': expected no side for a midline wire, which stands in the middle, found attribute 'side'"]),
    "tie_without_side": ("9:6", ["tie 'clamp': expected attribute 'side', found nothing"]),
    "two_constructs_with_one_name": ("17:20", ["construct 'one side': expected each construct with a name of its own, found 'one side'"]),
    "two_screws_in_one_place": ("11:6", ["anchor 'C2 too': expected no two anchors in one place, found pedicle anchor on the left of C2 where 'C2 left', a pars anchor, runs"]),
    "two_states_of_the_dens": ("7:24", ["instability 'odontoidectomy': expected one state of the dens, found 'fresh dens fracture' before it"]),
    "unclosed_rod": ("15:3", ["expected </rod> for the <rod> of line 12, found '</construct>'"]),
    "unknown_anchor_in_rod": ("14:24", ["found 'C2 lefd' (did you mean 'C2 left'?)"]),
    "unknown_attribute": ("12:22", ["expected one of the attributes name, metal, diameter, bending, closed, lower_diameter or taper_at, found attribute 'metall' (did you mean 'metal'?)"]),
    "unknown_bending": ("11:31", ["rod 'left', attribute 'bending': expected contoured, pre-bent or bench-bent, found 'prebent' (did you mean 'pre-bent'?)"]),
    "unknown_element": ("3:2", ["found element 'bensh' (did you mean 'bench'?)"]),
    "unknown_kind": ("11:34", ["expected lateral mass, posterior arch, short posterior arch, pars, pedicle, laminar, ", "occipital wire or hook, found 'parse' (did you mean 'pars'?)"]),
    "unknown_moment_kind": ("5:44", ["bench, attribute 'moment_kind': expected conservative, fixed axis or head-following, found 'head following' (did you mean 'head-following'?)"]),
    "unknown_number": ("9:16", ["(did you mean 'interface.foundation_factor'?)"]),
    "unknown_plate": ("16:39", ["rod 'right', through: expected a plate of this construct, found 'keel plat' (did you mean 'keel plate'?)"]),
    "unknown_state": ("6:48", ["bench, sequence, state, attribute 'row': expected intact, injured or the name of a construct, found 'injurd' (did you mean 'injured'?)"]),
    "unknown_unit": ("8:39", ["expected a moment in N mm or N m, found '1.5 Nm' (did you mean '1.5 N m'?)"]),
    "weight_on_condyles_of_c2": ("6:37", ["bench, dead_weight, attribute 'line': expected dens or body, for the condyles are C0's, and this neck goes from C2 to C7, found 'condyles'"]),
    "wire_that_holds_no_rod": ("12:6", ["anchor 'C1 right': expected a rod through it (a sublaminar wire holds nothing without one), found nothing"]),
    "wrong_root": ("1:2", ["expected a root element <case>, found element 'neck'"]),
    "wrong_unit": ("10:97", ["expected a length in mm, cm or m, found '18 N'"]),
    "zero_size": ("12:55", ["greater than 0 and at most 12 mm, found '0 mm'"]),
}


class Ran:
    def __init__(self, *args, **more):
        done = subprocess.run([PROGRAM, *map(str, args)], stdin=subprocess.DEVNULL, capture_output=True, timeout=60, **more)
        self.code = done.returncode
        self.out = done.stdout.decode("utf-8", "replace") if done.stdout else ""
        self.err = done.stderr.decode("utf-8", "replace")

    def both(self):
        """All output, with wrapped messages (further lines are indented by 8) in one line each."""
        return re.sub(r"\n {8}(?=\S)", " ", self.out + self.err)


class BadInput(unittest.TestCase):
    maxDiff = None

    def setUp(self):
        self._folder = tempfile.TemporaryDirectory(prefix="opisthion_bad_input_")
        self.folder = Path(self._folder.name)

    def tearDown(self):
        self._folder.cleanup()

    def expect(self, ran, code, *parts):
        self.assertEqual(ran.code, code, ran.both())
        for part in parts:
            self.assertIn(part, ran.both())
        # Only words and carets reach the terminal.
        self.assertNotRegex(ran.both(), r"[\x00-\x08\x0b-\x1f\x7f]")

    def write(self, name, content):
        path = self.folder / name
        path.write_bytes(content)
        return path

    # --- case files -----------------------------------------------------------------------------------------------------------

    def test_every_bad_file_is_in_the_table(self):
        self.assertEqual(sorted(p.stem for p in BAD.glob("*.xml")), sorted(FILES))

    def test_bad_files_are_refused_with_place_and_words(self):
        for name, (place, parts) in FILES.items():
            for command in ("check", "assess"):
                with self.subTest(file=name, command=command):
                    path = BAD / f"{name}.xml"
                    ran = Ran(command, path)
                    self.expect(ran, CASE_FILE, *parts)
                    errors = re.findall(re.escape(str(path)) + r":(\d+:\d+): error: ", ran.both())
                    self.assertTrue(errors, ran.both())
                    self.assertEqual(errors[0], place, ran.both())
                    if command == "assess":
                        self.assertEqual(ran.out, "", "results only on standard output")

    def test_one_mistake_is_one_finding(self):
        for name in FILES:
            if name in ("empty_case", "many_mistakes", "unknown_element"):
                continue
            with self.subTest(file=name):
                self.assertEqual(len(re.findall(r": error: ", Ran("check", BAD / f"{name}.xml").both())), 1)
        self.assertEqual(len(re.findall(r": error: ", Ran("check", BAD / "many_mistakes.xml").both())), 5)
        # The misspelt bench is unknown, and the bench is missing.
        self.assertEqual(len(re.findall(r": error: ", Ran("check", BAD / "unknown_element.xml").both())), 2)

    def test_the_source_line_and_a_caret_are_shown(self):
        ran = Ran("check", BAD / "decimal_comma.xml")
        lines = ran.both().splitlines()
        source = next(i for i, line in enumerate(lines) if line.startswith("   10 | "))
        text, caret = lines[source], lines[source + 1]
        self.assertEqual(text[caret.index("^"):caret.rindex("~") + 1], "3,5 mm")

    def test_an_empty_file_and_a_blank_one(self):
        for content in (b"", b" \n\t\n"):
            self.expect(Ran("check", self.write("a.xml", content)), CASE_FILE, "a.xml:1:1: error: file: expected an element <case>, found nothing")

    def test_a_file_that_is_no_xml(self):
        self.expect(Ran("check", self.write("a.xml", b"hello")), CASE_FILE, "a.xml:1:1: error: file: expected an element, found 'h'")
        self.expect(Ran("check", self.write("a.xml", b"\x7fELF\x02\x01\x01" + bytes(100))), CASE_FILE, "a.xml:1:")
        self.expect(Ran("check", self.write("a.xml", b"<case>\x00</case>")), CASE_FILE, "a.xml:1:7: error: ", "found 'byte 0x00'")
        self.expect(Ran("check", self.write("a.xml", b"<case name='\xff'/>")), CASE_FILE, "expected text in UTF-8, found 'byte 0xFF'")

    def test_a_file_of_ten_megabytes(self):
        good = (SAMPLES / "smallest.xml").read_bytes()
        self.expect(Ran("check", self.write("big.xml", good + b" " * 10_000_000)), CASE_FILE, "big.xml:1:1: error: file: expected ", "at most 4 MB")
        self.expect(Ran("assess", self.write("big.xml", b"<a>" * 3_500_000)), CASE_FILE, "at most 4 MB")

    def test_a_file_without_end(self):
        self.expect(Ran("check", "/dev/zero"), CASE_FILE, "at most 4 MB")

    def test_deep_nesting(self):
        self.expect(Ran("check", self.write("deep.xml", b"<a>" * 1_000_000)), CASE_FILE, "expected elements nested at most 100 deep")

    def test_thousands_of_mistakes_are_cut_short(self):
        ran = Ran("check", self.write("many.xml", b"<case>" + b"<anchro/>" * 300_000 + b"</case>"))
        self.expect(ran, CASE_FILE, "at most 200 findings; the rest is left out")
        self.assertLess(len(ran.both()), 200_000)

    # --- files that cannot be read --------------------------------------------------------------------------------------------

    def test_a_missing_file(self):
        for command in ("check", "assess"):
            self.expect(Ran(command, self.folder / "none.xml"), IO, "none.xml: ", "No such file or directory")

    def test_a_folder_in_place_of_a_file(self):
        for command in ("check", "assess"):
            self.expect(Ran(command, self.folder), IO, str(self.folder), "folder")

    def test_an_unreadable_file(self):
        path = self.write("secret.xml", (SAMPLES / "smallest.xml").read_bytes())
        path.chmod(0)
        if os.access(path, os.R_OK):
            print("note: this user reads every file (root): the unreadable file is not asserted", file=sys.stderr)
            return
        self.expect(Ran("check", path), IO, "secret.xml: ", "Permission denied")

    def test_a_file_name_with_control_characters(self):
        self.expect(Ran("check", self.folder / "a\x1b[2J\nb.xml"), IO, "a\\x1b[2J\\x0ab.xml")

    # --- results that cannot be written ---------------------------------------------------------------------------------------

    def assess(self, *args, **more):
        return Ran("assess", "--quiet", SAMPLES / "smallest.xml", *args, **more)

    def left_behind(self):
        return sorted(p.name for p in self.folder.iterdir())

    def test_a_result_is_written_when_nothing_is_in_the_way(self):
        ran = self.assess("--out", self.folder / "a.h5")
        self.assertIn(ran.code, (0, 1), ran.both())
        self.assertEqual(self.left_behind(), ["a.h5"])

    def test_a_device_is_not_written_to(self):
        self.expect(self.assess("--out", "/dev/full"), IO, "/dev/full: is not a regular file")

    def test_a_full_disk_leaves_nothing_behind_and_the_old_result_whole(self):
        # A limit on the size of files stands in for a full disk: the same write call fails.
        def limit():
            resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))

        self.expect(self.assess("--out", self.folder / "a.h5", preexec_fn=limit), IO, "a.h5: ", "File too large")
        self.assertEqual(self.left_behind(), [])
        old = self.write("old.h5", b"an older result")
        self.expect(self.assess("--out", old, preexec_fn=limit), IO, "old.h5: ", "File too large")
        self.assertEqual(self.left_behind(), ["old.h5"])
        self.assertEqual(old.read_bytes(), b"an older result")

    def test_standard_output_on_a_full_disk(self):
        with open("/dev/full", "wb") as full:
            for args in (["assess", "--quiet", SAMPLES / "smallest.xml"], ["assess", "--quiet", "--json", SAMPLES / "smallest.xml"],
                         ["check", SAMPLES / "smallest.xml"], ["library"], ["--help"]):
                done = subprocess.run([PROGRAM, *map(str, args)], stdout=full, stderr=subprocess.PIPE, timeout=60)
                self.assertEqual(done.returncode, IO, (args, done.stderr))
                self.assertIn(b"No space left on device", done.stderr)

    def test_a_folder_that_is_not_there_or_that_is_a_file(self):
        self.expect(self.assess("--out", self.folder / "none" / "a.h5"), IO, "a.h5: ", "No such file or directory")
        self.write("file", b"")
        self.expect(self.assess("--out", self.folder / "file" / "a.h5"), IO, "a.h5: ", "Not a directory")
        self.expect(self.assess("--export-system", self.folder / "file"), IO, "file")
        self.assertEqual(self.left_behind(), ["file"])

    def test_a_folder_as_result(self):
        self.expect(self.assess("--out", self.folder), IO, str(self.folder) + ": ")
        self.assertEqual(self.left_behind(), [])

    def test_an_unwritable_folder(self):
        locked = self.folder / "locked"
        locked.mkdir()
        locked.chmod(0o555)
        if os.access(locked, os.W_OK):
            print("note: this user writes everywhere (root): the unwritable folder is not asserted", file=sys.stderr)
            return
        self.expect(self.assess("--out", locked / "a.h5"), IO, "a.h5: ", "Permission denied")

    # --- usage ----------------------------------------------------------------------------------------------------------------

    def test_usage_mistakes(self):
        good = SAMPLES / "smallest.xml"
        for args, part in (
            ([], "opisthion"),
            (["asess", good], "did you mean 'assess'?"),
            (["assess"], "CASE"),
            (["assess", good, "--contsruct", "x"], "did you mean '--construct'?"),
            (["check", good, "--json-lines"], "--json-lines"),
            (["assess", good, "--construct", "the neck alon"], "did you mean 'the neck alone'?"),
            (["assess", good, "--construct", "\x1b[2J"], "\\x1b[2J"),
            (["assess", good, "--motion", "flexoin"], "did you mean 'flexion'?"),
            (["assess", good, "--moment", "1.5"], "expected a moment in N mm or N m, found '1.5' (did you mean '1.5 N m'?)"),
            (["assess", good, "--construct", "pars"], "; known: '"),
            (["assess", good, "--moment", "1,5 N m"], "did you mean '1.5 N m'?"),
            (["assess", good, "--moment", "-1 N m"], "--moment"),
            (["assess", good, "--moment", "1500 N m"], "at most 20 N m"),
            (["assess", good, "--moment", "nan N m"], "--moment"),
        ):
            with self.subTest(args=args):
                ran = Ran(*args)
                self.expect(ran, USAGE, part)
                self.assertEqual(ran.out, "")

    def test_the_usage_line_is_what_one_types(self):
        self.assertIn("opisthion assess ", Ran("assess", "--help").out)

    def test_every_help_says_what_the_program_is_not(self):
        for command in ([], ["check"], ["assess"], ["curves"], ["library"]):
            ran = Ran(*command, "--help")
            self.expect(ran, 0)
            self.assertIn("Not a medical device", ran.out, command)

    def test_the_library_keeps_to_100_columns_and_ends_with_the_caution(self):
        for args in (["library"], ["library", "foundation"]):
            ran = Ran(*args)
            self.expect(ran, 0)
            self.assertLessEqual(max(map(len, ran.out.splitlines())), 100, args)
            self.assertIn("Not a medical device", ran.out)

    # --- library numbers that a case sets to what cannot be --------------------------------------------------------------------

    def test_impossible_library_numbers_are_refused_at_their_place(self):
        good = (SAMPLES / "everything.xml").read_text(encoding="utf-8")
        setting = '<set number="interface.foundation_factor" value="5 %"/>'
        self.assertIn(setting, good)
        for number, value in (("interface.foundation_factor", "-0.05"), ("interface.foundation_factor", "1e300"),
                              ("metal.titanium_alloy.modulus", "-1 MPa"), ("anchor.C2.pars.length", "0 mm"),
                              ("joint.C1-C2.contact_stiffness", "-5 N/mm"), ("screw.core_ratio", "5")):
            with self.subTest(number=number, value=value):
                path = self.write("set.xml", good.replace(setting, f'<set number="{number}" value="{value}"/>').encode())
                for command in ("check", "assess"):
                    self.expect(Ran(command, path), CASE_FILE, "set.xml:", f"error: set '{number}', attribute 'value': expected a value from ",
                                f"found '{value}'")

    def test_findings_keep_to_100_columns(self):
        # The shown source lines are as long as they are in the file.
        for name in ("many_mistakes", "unknown_attribute", "wrong_unit", "rod_would_bend"):
            ran = subprocess.run([PROGRAM, "check", f"{name}.xml"], capture_output=True, cwd=BAD, timeout=60, text=True)
            for line in ran.stdout.splitlines():
                if " | " not in line:
                    self.assertLessEqual(len(line), 100, line)

    # --- names that are markup somewhere else ---------------------------------------------------------------------------------

    CASE_NAME = '<b>bold</b> & "quoted"'
    CONSTRUCT = "<script>alert('pars')</script> &amp; ]]>"

    def test_markup_in_names_stays_a_name(self):
        path = SAMPLES / "markup_in_names.xml"
        checked = Ran("check", path)
        self.expect(checked, 0, self.CONSTRUCT, "C1 <left>", 'C2 "left"')
        ran = Ran("assess", "--json", "--quiet", path)
        self.assertIn(ran.code, (0, 1), ran.both())
        document = json.loads(ran.out)
        self.assertEqual(document["case"] if isinstance(document["case"], str) else document["case"]["name"], self.CASE_NAME)
        self.assertEqual(document["constructs"][0]["name"], self.CONSTRUCT)
        table = Ran("assess", "--quiet", path)
        self.assertIn(table.code, (0, 1), table.both())
        self.assertIn(self.CONSTRUCT[:20], table.out)
        only = Ran("assess", "--json", "--quiet", "--construct", self.CONSTRUCT, path)
        self.assertEqual(len(json.loads(only.out)["constructs"]), 1)

    def test_good_samples_have_no_error(self):
        for path in sorted(SAMPLES.glob("*.xml")):
            with self.subTest(file=path.name):
                ran = Ran("check", path)
                self.expect(ran, 0)
                self.assertNotIn(": error: ", ran.both())


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    PROGRAM = os.path.abspath(sys.argv[1])
    unittest.main(argv=[sys.argv[0]], verbosity=1)
