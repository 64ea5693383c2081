// SPDX-License-Identifier: MIT
#pragma once
// Products of 3x3 matrices and cross products, written out on plain pointers: for inner loops, where the library's own take
// three times as long (its index checks stay on, and at -O2 its blocks are calls).
#include "mesh/system/system.hpp"

namespace opisthion::core::full {

/// a b, with a a 3x3 block inside a column-major matrix of `stride` rows.
inline mesh::Matrix3 product(const double* a, Eigen::Index stride, const mesh::Matrix3& b) {
  mesh::Matrix3 out;
  const double* const c0 = a;
  const double* const c1 = a + stride;
  const double* const c2 = a + 2 * stride;
  const double a00 = c0[0], a10 = c0[1], a20 = c0[2];
  const double a01 = c1[0], a11 = c1[1], a21 = c1[2];
  const double a02 = c2[0], a12 = c2[1], a22 = c2[2];
  const double* p = b.data();
  double* to = out.data();
  for (int j = 0; j < 3; ++j, p += 3, to += 3) {
    const double x = p[0], y = p[1], z = p[2];
    to[0] = a00 * x + a01 * y + a02 * z;
    to[1] = a10 * x + a11 * y + a12 * z;
    to[2] = a20 * x + a21 * y + a22 * z;
  }
  return out;
}
inline mesh::Matrix3 product(const mesh::Matrix3& a, const mesh::Matrix3& b) {
  return product(a.data(), 3, b);
}

/// a^T b.
inline mesh::Matrix3 transposed_product(const mesh::Matrix3& a, const mesh::Matrix3& b) {
  mesh::Matrix3 out;
  const double* const m = a.data();
  const double* p = b.data();
  double* to = out.data();
  for (int j = 0; j < 3; ++j, p += 3, to += 3) {
    const double x = p[0], y = p[1], z = p[2];
    to[0] = m[0] * x + m[1] * y + m[2] * z;
    to[1] = m[3] * x + m[4] * y + m[5] * z;
    to[2] = m[6] * x + m[7] * y + m[8] * z;
  }
  return out;
}

inline mesh::Matrix3 transposed(const mesh::Matrix3& a) {
  mesh::Matrix3 out;
  const double* const m = a.data();
  double* const to = out.data();
  to[0] = m[0], to[1] = m[3], to[2] = m[6];
  to[3] = m[1], to[4] = m[4], to[5] = m[7];
  to[6] = m[2], to[7] = m[5], to[8] = m[8];
  return out;
}

inline mesh::Vector3 product(const mesh::Matrix3& a, const mesh::Vector3& b) {
  const double* const m = a.data();
  const double x = b.x(), y = b.y(), z = b.z();
  return {m[0] * x + m[3] * y + m[6] * z, m[1] * x + m[4] * y + m[7] * z, m[2] * x + m[5] * y + m[8] * z};
}
inline mesh::Vector3 transposed_product(const mesh::Matrix3& a, const mesh::Vector3& b) {
  const double* const m = a.data();
  const double x = b.x(), y = b.y(), z = b.z();
  return {m[0] * x + m[1] * y + m[2] * z, m[3] * x + m[4] * y + m[5] * z, m[6] * x + m[7] * y + m[8] * z};
}

inline mesh::Vector3 cross(const mesh::Vector3& a, const mesh::Vector3& b) {
  return {a.y() * b.z() - a.z() * b.y(), a.z() * b.x() - a.x() * b.z(), a.x() * b.y() - a.y() * b.x()};
}

/// to += f m [r]x: column k of m [r]x is m (r x e_k).
inline void add_times_cross(double f, const mesh::Matrix3& m, const mesh::Vector3& r, mesh::Matrix3& to) {
  const double* const p = m.data();
  double* const out = to.data();
  const double x = f * r.x(), y = f * r.y(), z = f * r.z();
  for (int i = 0; i < 3; ++i) {
    const double a = p[i], b = p[i + 3], c = p[i + 6];
    out[i] += b * z - c * y;
    out[i + 3] += c * x - a * z;
    out[i + 6] += a * y - b * x;
  }
}

/// to += f m^T [r]x.
inline void add_transposed_times_cross(double f, const mesh::Matrix3& m, const mesh::Vector3& r, mesh::Matrix3& to) {
  const double* p = m.data();
  double* const out = to.data();
  const double x = f * r.x(), y = f * r.y(), z = f * r.z();
  for (int i = 0; i < 3; ++i, p += 3) {
    const double a = p[0], b = p[1], c = p[2];
    out[i] += b * z - c * y;
    out[i + 3] += c * x - a * z;
    out[i + 6] += a * y - b * x;
  }
}

/// to += f [r]x m.
inline void add_cross_times(double f, const mesh::Vector3& r, const mesh::Matrix3& m, mesh::Matrix3& to) {
  const double* p = m.data();
  double* out = to.data();
  const double x = f * r.x(), y = f * r.y(), z = f * r.z();
  for (int j = 0; j < 3; ++j, p += 3, out += 3) {
    const double a = p[0], b = p[1], c = p[2];
    out[0] += y * c - z * b;
    out[1] += z * a - x * c;
    out[2] += x * b - y * a;
  }
}

/// to += f [r]x.
inline void add_cross(double f, const mesh::Vector3& r, mesh::Matrix3& to) {
  double* const out = to.data();
  const double x = f * r.x(), y = f * r.y(), z = f * r.z();
  out[1] += z, out[3] -= z;
  out[2] -= y, out[6] += y;
  out[5] += x, out[7] -= x;
}

/// to += a b^T.
inline void add_outer(const mesh::Vector3& a, const mesh::Vector3& b, mesh::Matrix3& to) {
  double* out = to.data();
  const double x = a.x(), y = a.y(), z = a.z();
  for (int j = 0; j < 3; ++j, out += 3) {
    const double f = b.data()[j];
    out[0] += x * f;
    out[1] += y * f;
    out[2] += z * f;
  }
}

/// to += f m.
inline void add_scaled(double f, const mesh::Matrix3& m, mesh::Matrix3& to) {
  for (int i = 0; i < 9; ++i) to.data()[i] += f * m.data()[i];
}

/// (m + m^T) f.
inline mesh::Matrix3 twice_symmetric(double f, const mesh::Matrix3& m) {
  mesh::Matrix3 out;
  const double* const p = m.data();
  double* const to = out.data();
  to[0] = 2.0 * f * p[0], to[4] = 2.0 * f * p[4], to[8] = 2.0 * f * p[8];
  to[1] = to[3] = f * (p[1] + p[3]);
  to[2] = to[6] = f * (p[2] + p[6]);
  to[5] = to[7] = f * (p[5] + p[7]);
  return out;
}

inline void add_to_diagonal(double f, mesh::Matrix3& to) {
  double* const out = to.data();
  out[0] += f, out[4] += f, out[8] += f;
}

}  // namespace opisthion::core::full
