// The waveform text layout: exact round trip, errors that name the line.
#include "gateswing/waveform/csv.h"

#include <doctest/doctest.h>

#include <cmath>
#include <filesystem>
#include <sstream>
#include <stdexcept>

#include "waveform/record.h"

using namespace gateswing::waveform;
using gateswing_test::record;
using gateswing_test::uneven_edges;

namespace {

Waveform read_text(const std::string& text) {
  std::istringstream in(text);
  return read_csv(in);
}

Waveform sines() {
  return record({{{"v_gs", "V"}, [](double t) { return std::sin(1e9 * t) / 3.0; }},
                 {{"i_d", "A"}, [](double t) { return 1e-17 * std::cos(1e9 * t); }}},
                uneven_edges(-1e-9, 5e-9, 0.1e-9), 4);
}

}  // namespace

TEST_CASE("a waveform written as text reads back bit for bit") {
  const Waveform w = sines();
  std::ostringstream out;
  write_csv(w, out);
  CHECK(read_text(out.str()) == w);
}

TEST_CASE("a waveform file on disk reads back bit for bit") {
  const std::filesystem::path path = std::filesystem::temp_directory_path() / "gateswing_csv_test.csv";
  const Waveform w = sines();
  write_csv(w, path);
  CHECK(read_csv(path) == w);
  std::filesystem::remove(path);
  CHECK_THROWS_AS(read_csv(path), std::runtime_error);
}

TEST_CASE("the layout is the documented one, and lines may end as on another system") {
  Waveform w({{"v_gs", "V"}}, 1);
  w.append_step(0.0, 1e-9, std::vector{0.5, -2.0});
  std::ostringstream out;
  write_csv(w, out);
  CHECK(out.str() == "# waveform of degree 1\ntime [s],v_gs [V]\n0,0.5\n1e-09,-2\n");
  CHECK(read_text("# waveform of degree 1\r\ntime [s],v_gs [V]\r\n0,0.5\r\n1e-09,-2\r\n") == w);
}

TEST_CASE("a name that would break the layout is refused when writing") {
  std::ostringstream out;
  CHECK_THROWS_AS(write_csv(Waveform({{"a,b", "V"}}, 1), out), std::invalid_argument);
  CHECK_THROWS_AS(write_csv(Waveform({{"a", "V]"}}, 1), out), std::invalid_argument);
}

TEST_CASE("a malformed waveform file is refused with the line and the reason") {
  const std::string head = "# waveform of degree 1\ntime [s],v_gs [V]\n";
  CHECK_THROWS_WITH_AS(read_text(head + "0,1\n1,x\n"), "waveform file, line 4: 'x' is not a number",
                       std::invalid_argument);
  CHECK_THROWS_WITH_AS(read_text(head + "0\n"), "waveform file, line 3: fewer numbers than headings",
                       std::invalid_argument);
  CHECK_THROWS_WITH_AS(read_text(head + "0,1,2\n"), "waveform file, line 3: more numbers than headings",
                       std::invalid_argument);
  CHECK_THROWS_WITH_AS(read_text("# waveform of degree 1\ntime [s],v_gs\n"),
                       "waveform file, line 2: a heading must read 'name [unit]'", std::invalid_argument);
  CHECK_THROWS_AS(read_text("time [s],v_gs [V]\n"), std::invalid_argument);
  CHECK_THROWS_AS(read_text(""), std::invalid_argument);
  CHECK_THROWS_AS(read_text(head + "0,1\n1,\n"), std::invalid_argument);
  CHECK_THROWS_AS(read_text(head + "0,1\n1,nan\n"), std::invalid_argument);
  CHECK_THROWS_AS(read_text(head + "0,1\n"), std::invalid_argument);
}
