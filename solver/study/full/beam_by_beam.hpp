// SPDX-License-Identifier: MIT
#pragma once
// Where condensed metal turns too far to be linear in its own frame: the same load's end with every beam in a frame of its
// own, found from the end that condensed metal found.
#include "solver/study/full/run.hpp"

namespace opisthion::study {

/// A state of condensed metal with the poses of its inner metal, as a start for the same construct beam by beam: what
/// `beams` has inside where every load starts, carried along with the frame of its component and deformed as its ports ask.
core::full::State expanded(const Specimen& condensed, const Specimen& beams, const core::full::State& state);

/// Puts the end and the middle of a run beam by beam into the run. False, and the run as it was, where that finds no stable
/// equilibrium, or one further away than what condensing leaves out explains: then the path must be followed beam by beam.
/// `opposite`: the middle beam by beam of the opposite load, when it is known.
bool end_beam_by_beam(FullRun& run, const Specimen& condensed, const Specimen& beams, const mesh::LoadCase& load_case,
                      core::full::Workspace& beams_work, const FullMiddle* opposite = nullptr);

}  // namespace opisthion::study
