// A waveform as comma-separated text, and back. Every number is written with the digits that read back to it exactly.
//
//   # waveform of degree 4
//   time [s],v_gs [V],i_d [A]
//   0,0,0                          one row per node; the time of a joint between steps appears in both
//
// Only this layout is read; the file of an oscilloscope is another matter.
#pragma once

#include <filesystem>
#include <iosfwd>

#include "gateswing/waveform/waveform.h"

namespace gateswing::waveform {

// A channel name or unit with a comma, square bracket, quote or line break cannot be written and is an error.
void write_csv(const Waveform& waveform, std::ostream& out);
void write_csv(const Waveform& waveform, const std::filesystem::path& path);

// Errors name the line. `path` that cannot be opened: std::runtime_error, as for writing.
Waveform read_csv(std::istream& in);
Waveform read_csv(const std::filesystem::path& path);

}  // namespace gateswing::waveform
