// Windows: what is refused, and that the pieces of a window cover it once.
#include "gateswing/measure/window.h"

#include <doctest/doctest.h>

#include <limits>
#include <stdexcept>

#include "relative.h"
#include "waveform/record.h"

using namespace gateswing::measure;
using gateswing::waveform::Waveform;
using gateswing_test::relative;

namespace {

Waveform ramp() {
  return gateswing_test::record({{{"v", "V"}, [](double t) { return t; }}}, {0.0, 1.0, 1.5, 4.0}, 1);
}

}  // namespace

TEST_CASE("the pieces of a window cover it from begin to end without gap or overlap") {
  const Waveform w = ramp();
  for (const Window window : {Window{0.0, 4.0}, {0.25, 3.0}, {1.0, 1.5}, {0.5, 1.0}, {1.2, 1.3}, {1.0, 1.0}}) {
    CAPTURE(window.begin);
    CAPTURE(window.end);
    double reached = window.begin;
    for (const Piece piece : Pieces(w, window)) {
      CHECK(piece.begin == reached);
      CHECK(piece.time(piece.from) == piece.begin);
      CHECK(piece.time(piece.to) == piece.end);
      CHECK(piece.time(0.5 * (piece.from + piece.to)) == relative(0.5 * (piece.begin + piece.end), 1e-9));
      const bool has_length = piece.begin < piece.end || window.length() == 0.0;
      CHECK(has_length);
      reached = piece.end;
    }
    CHECK(reached == window.end);
  }
}

TEST_CASE("a window beyond the waveform, backwards or not a number is refused in words") {
  const Waveform w = ramp();
  const auto walk = [&w](Window window) { return *Pieces(w, window).begin(); };
  CHECK_THROWS_WITH_AS(walk({-1.0, 2.0}),
                       "the window from -1 s to 2 s must run forwards inside the waveform, which covers 0 s to 4 s",
                       std::invalid_argument);
  CHECK_THROWS_AS(walk({1.0, 4.5}), std::invalid_argument);
  CHECK_THROWS_AS(walk({2.0, 1.0}), std::invalid_argument);
  CHECK_THROWS_AS(walk({std::numeric_limits<double>::quiet_NaN(), 1.0}), std::invalid_argument);
  CHECK_THROWS_AS(walk({1.0, std::numeric_limits<double>::quiet_NaN()}), std::invalid_argument);
}

TEST_CASE("clipping a window keeps what the waveform covers") {
  const Waveform w = ramp();
  CHECK(clipped(w, {-1.0, 2.0}).begin == 0.0);
  CHECK(clipped(w, {-1.0, 2.0}).end == 2.0);
  CHECK(clipped(w, {1.0, 9.0}).end == whole(w).end);
  CHECK_THROWS_AS(clipped(w, {5.0, 6.0}), std::invalid_argument);
}
