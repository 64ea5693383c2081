// SPDX-License-Identifier: MIT
#pragma once
// Two space frames of textbooks: answers as published (few digits), and with the digits of an independent solution.
#include <array>

namespace opisthion::reference {

/// D. L. Logan, A First Course in the Finite Element Method, 4th ed., Example 5.8 (values seen). Inch, kip.
struct Logan58 {
  static constexpr double kYoungs_ksi = 30000.0, kShear_ksi = 10000.0, kArea = 10.0, kSecondMoment = 100.0, kTorsion = 50.0;
  static constexpr std::array<double, 6> kPublished{7.098e-5, -0.014, -2.352e-3, -3.996e-3, 1.78e-5, -1.033e-4};
  static constexpr std::array<double, 6> kFull{7.09825755e-5,  -1.39951349e-2, -2.35188934e-3,
                                               -3.99609044e-3, 1.78006916e-5,  -1.03342904e-4};
  static constexpr std::array<double, 6> kReactionNode2{-0.21294773, 0.31780763,  0.05262677,
                                                        19.9804522,  -3.16535931, 18.9906686};
};

/// A. Kassimali, Matrix Analysis of Structures, 2nd ed., Example 8.4 (values, stiffness matrix, reactions seen). Inch, kip.
/// Roll 0: the local x-y plane is vertical (contains +Y); a member that points up has local y = -X.
struct Kassimali84 {
  static constexpr double kYoungs_ksi = 29000.0, kShear_ksi = 11500.0, kArea = 32.9, kIz = 716.0, kIy = 236.0,
                          kTorsion = 15.1;
  static constexpr std::array<double, 6> kPublishedTimes1000{-1.3522, -2.7965, -1.812, -3.0021, 1.0569, 6.4986};
  static constexpr std::array<double, 6> kFullTimes1000{-1.35224466, -2.79653170, -1.81198008,
                                                        -3.00210880, 1.05691072,  6.49858022};
  static constexpr std::array<double, 6> kDiagonal{3990.3, 4008.4, 3999.4, 634857.0, 286857.0, 460857.0};
  struct Entry {
    int row, column;
    double value;
  };
  static constexpr std::array<Entry, 9> kOffDiagonal{{{1, 4, -627.87},
                                                      {1, 5, -1075.4},
                                                      {1, 6, 712.92},
                                                      {1, 2, -5.2322},
                                                      {2, 4, 1800.4},
                                                      {2, 5, 627.87},
                                                      {2, 6, -2162.9},
                                                      {3, 4, -2162.9},
                                                      {3, 5, 712.92}}};
  static constexpr double kEntry45 = 100459.0;
  static constexpr std::array<double, 6> kReactionNode2{5.37573596, 44.1062930, -0.742724344,
                                                        2.17215080, 58.9873506, 2330.51966};
  static constexpr std::array<double, 6> kReactionNode3{-4.6249125,  11.1173787,  -6.46065147,
                                                        -515.545730, -0.76471894, 369.671654};
  static constexpr std::array<double, 6> kReactionNode4{-0.75082346, 4.77632827,  7.20337581,
                                                        -383.501559, -60.1664192, -4.70199356};
};

}  // namespace opisthion::reference
