// SPDX-License-Identifier: MIT
#include "solver/results/h5.hpp"

#include <cassert>
#include <utility>

#include <hdf5_hl.h>

#include "solver/results/io_error.hpp"

namespace opisthion::results::h5 {
namespace {

constexpr std::size_t kGrowBy = 1 << 16;

/// The deepest message of HDF5's error stack names the cause.
std::string cause() {
  std::string text;
  H5Ewalk2(
      H5E_DEFAULT, H5E_WALK_DOWNWARD,
      [](unsigned, const H5E_error2_t* error, void* out) -> herr_t {
        *static_cast<std::string*>(out) = error->desc != nullptr ? error->desc : "";
        return 0;
      },
      &text);
  H5Eclear2(H5E_DEFAULT);
  return text.empty() ? text : ": " + text;
}

void check(herr_t result, const std::string& what) {
  if (result < 0) throw IoError("HDF5: " + what + cause());
}

void quiet() {
  H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);
}  // we report; the library must not print by itself

Id text_type() {
  Id type(H5Tcopy(H5T_C_S1), H5Tclose, "string type");
  check(H5Tset_size(type.get(), H5T_VARIABLE), "string type");
  check(H5Tset_cset(type.get(), H5T_CSET_UTF8), "string type");
  return type;
}

Id timeless(hid_t property_class) {
  Id list(H5Pcreate(property_class), H5Pclose, "property list");
  check(H5Pset_obj_track_times(list.get(), false), "property list");
  return list;
}

Id create_file() {
  quiet();
  Id access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose, "property list");
  check(H5Pset_fapl_core(access.get(), kGrowBy, false), "memory file");
  // No newer file version is asked for: its checksummed superblock comes out of H5Fget_file_image (HDF5 1.10) with flags
  // changed after the checksum was taken, and no reader opens it.
  const Id creation = timeless(H5P_FILE_CREATE);
  // The name is of no file: the driver keeps everything in memory.
  return Id(H5Fcreate("opisthion-result", H5F_ACC_TRUNC, creation.get(), access.get()), H5Fclose, "memory file");
}

}  // namespace

Id::Id(hid_t id, herr_t (*close)(hid_t), const std::string& what) : id_(id), close_(close) {
  if (id_ < 0) throw IoError("HDF5: " + what + cause());
}
Id::Id(Id&& other) noexcept : id_(std::exchange(other.id_, -1)), close_(other.close_) {}
Id::~Id() {
  if (id_ >= 0) close_(id_);
}

MemoryFile::MemoryFile() : file_(create_file()) {}

void MemoryFile::group(const std::string& path, const std::string& what) {
  const Id creation = timeless(H5P_GROUP_CREATE);
  {
    const Id made(H5Gcreate2(file_.get(), path.c_str(), H5P_DEFAULT, creation.get(), H5P_DEFAULT), H5Gclose,
                  "group " + path);
  }
  attribute(path, "what", what);
}

void MemoryFile::attribute(const std::string& object, const std::string& name, const std::string& value) {
  const Id type = text_type();
  const Id space(H5Screate(H5S_SCALAR), H5Sclose, "scalar");
  const Id at(H5Oopen(file_.get(), object.c_str(), H5P_DEFAULT), H5Oclose, "object " + object);
  const Id made(H5Acreate2(at.get(), name.c_str(), type.get(), space.get(), H5P_DEFAULT, H5P_DEFAULT), H5Aclose,
                "attribute " + name);
  const char* text = value.c_str();
  check(H5Awrite(made.get(), type.get(), static_cast<const void*>(&text)), "attribute " + name);
}

void MemoryFile::attribute(const std::string& object, const std::string& name, double value) {
  const Id space(H5Screate(H5S_SCALAR), H5Sclose, "scalar");
  const Id at(H5Oopen(file_.get(), object.c_str(), H5P_DEFAULT), H5Oclose, "object " + object);
  const Id made(H5Acreate2(at.get(), name.c_str(), H5T_IEEE_F64LE, space.get(), H5P_DEFAULT, H5P_DEFAULT), H5Aclose,
                "attribute " + name);
  check(H5Awrite(made.get(), H5T_NATIVE_DOUBLE, &value), "attribute " + name);
}

void MemoryFile::describe(const Id& dataset, const std::string& path, const About& about) {
  for (std::size_t i = 0; i < about.axes.size(); ++i)
    check(H5DSset_label(dataset.get(), static_cast<unsigned>(i), about.axes[i].c_str()), "axis label of " + path);
  attribute(path, "unit", about.unit);
  attribute(path, "what", about.what);
}

void MemoryFile::array(const std::string& path, std::span<const double> values, const std::vector<hsize_t>& shape,
                       const About& about) {
  hsize_t count = 1;
  for (const hsize_t extent : shape) count *= extent;
  assert(count == values.size() && shape.size() == about.axes.size());
  const Id space(H5Screate_simple(static_cast<int>(shape.size()), shape.data(), nullptr), H5Sclose, "shape of " + path);
  const Id creation = timeless(H5P_DATASET_CREATE);
  const Id made(H5Dcreate2(file_.get(), path.c_str(), H5T_IEEE_F64LE, space.get(), H5P_DEFAULT, creation.get(), H5P_DEFAULT),
                H5Dclose, "dataset " + path);
  if (count > 0)
    check(H5Dwrite(made.get(), H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()), "dataset " + path);
  describe(made, path, about);
}

void MemoryFile::words(const std::string& path, const std::vector<std::string>& values, const std::vector<hsize_t>& shape,
                       const About& about) {
  hsize_t count = 1;
  for (const hsize_t extent : shape) count *= extent;
  assert(count == values.size() && shape.size() == about.axes.size());
  std::vector<const char*> texts;
  for (const std::string& value : values) texts.push_back(value.c_str());
  const Id type = text_type();
  const Id space(H5Screate_simple(static_cast<int>(shape.size()), shape.data(), nullptr), H5Sclose, "shape of " + path);
  const Id creation = timeless(H5P_DATASET_CREATE);
  const Id made(H5Dcreate2(file_.get(), path.c_str(), type.get(), space.get(), H5P_DEFAULT, creation.get(), H5P_DEFAULT),
                H5Dclose, "dataset " + path);
  if (count > 0)
    check(H5Dwrite(made.get(), type.get(), H5S_ALL, H5S_ALL, H5P_DEFAULT, static_cast<const void*>(texts.data())),
          "dataset " + path);
  describe(made, path, about);
}

std::vector<char> MemoryFile::bytes() {
  check(H5Fflush(file_.get(), H5F_SCOPE_GLOBAL), "memory file");
  const ssize_t size = H5Fget_file_image(file_.get(), nullptr, 0);
  if (size <= 0) throw IoError("HDF5: memory file" + cause());
  std::vector<char> out(static_cast<std::size_t>(size));
  if (H5Fget_file_image(file_.get(), out.data(), out.size()) != size) throw IoError("HDF5: memory file" + cause());
  return out;
}

std::string read_text_attribute(const std::string& file, const std::string& name) {
  quiet();
  const Id opened(H5Fopen(file.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT), H5Fclose, file + " cannot be read");
  if (H5Aexists(opened.get(), name.c_str()) <= 0)
    throw IoError(file + ": no attribute '" + name + "': not a result of this program");
  const Id attribute(H5Aopen(opened.get(), name.c_str(), H5P_DEFAULT), H5Aclose, file + ", attribute " + name);
  const Id stored(H5Aget_type(attribute.get()), H5Tclose, file + ", attribute " + name);
  const Id space(H5Aget_space(attribute.get()), H5Sclose, file + ", attribute " + name);
  if (H5Tget_class(stored.get()) != H5T_STRING || H5Tis_variable_str(stored.get()) <= 0 ||
      H5Sget_simple_extent_npoints(space.get()) != 1)
    throw IoError(file + ": attribute '" + name + "' is not one text: not a result of this program");
  const Id type = text_type();
  char* text = nullptr;
  check(H5Aread(attribute.get(), type.get(), static_cast<void*>(&text)), file + ", attribute " + name);
  std::string out = text != nullptr ? text : "";
  H5free_memory(text);
  return out;
}

}  // namespace opisthion::results::h5
