// SPDX-License-Identifier: MIT
#pragma once
// Head stiffness of a screw in layered bone: figures of an independent solution (matrix exponential, boundary-value solver
// and finite-element limit agreed to ten digits). Titanium d 3.5; purchase 14 mm = 2 mm (E 10000, nu 0.3) + 12 mm (E 300, nu
// 0.3); head at the surface, tip free. The moduli are illustrative inputs, not data.
namespace opisthion::reference {

struct HeadStiffness {
  double axial, vv, vtheta, thetatheta, torsional;
};
inline constexpr HeadStiffness kSeatTimoshenko{21232.711324, 15628.588840, 22887.136836, 107975.167404, 242043.037290};
inline constexpr HeadStiffness kSeatBernoulli{21232.711324, 16157.173062, 24044.165011, 111635.494493, 242043.037290};
/// The whole 14 mm in E = 300.
inline constexpr HeadStiffness kSeatCancellous{3782.057034, 1749.483425, 10447.957861, 93091.296771, 43194.017950};
/// Lateral modulus doubled.
inline constexpr HeadStiffness kSeatDoubled{21232.711324, 29553.991454, 38223.872646, 160018.458700, 242043.037290};
/// Bending core 2.4 mm, bearing diameter 3.5 mm.
inline constexpr HeadStiffness kSeatCore{20827.138799, 15899.982150, 17379.951607, 55713.546116, 137729.844524};
/// Flexibility of the first (Timoshenko).
inline constexpr double kSeatFlexibilityVV = 9.278780244e-5, kSeatFlexibilityVT = -1.966792164e-5,
                        kSeatFlexibilityTT = 1.343033263e-5;

/// The same first seat with more digits, as used in the two-body construct.
inline constexpr HeadStiffness kSeatFull{21232.711324054762, 15628.588840356, 22887.136835649, 107975.16740435,
                                         242043.0372898144};

}  // namespace opisthion::reference
