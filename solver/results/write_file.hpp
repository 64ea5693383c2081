// SPDX-License-Identifier: MIT
#pragma once
#include <span>
#include <string>

namespace opisthion::results {

enum class Durability { quick, synced };  ///< synced: on the disk, not only in the system's cache, before it gets its name

/// Writes the bytes under a temporary name in the same folder, then renames: `path` is the old file or the whole new one,
/// never half of it. Throws IoError and leaves nothing behind; refuses what is there but is no regular file.
void write_file(const std::string& path, std::span<const char> bytes, Durability durability);

}  // namespace opisthion::results
