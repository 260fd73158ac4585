// Checks a window against the waveform and cuts it into the pieces of steps.
#include "gateswing/measure/window.h"

#include <algorithm>
#include <sstream>
#include <stdexcept>

namespace gateswing::measure {

namespace {

[[noreturn]] void refuse(const waveform::Waveform& waveform, Window window) {
  std::ostringstream sentence;
  sentence << "the window from " << window.begin << " s to " << window.end
           << " s must run forwards inside the waveform, which covers " << waveform.begin() << " s to "
           << waveform.end() << " s";
  throw std::invalid_argument(sentence.str());
}

}  // namespace

Window whole(const waveform::Waveform& waveform) {
  return {waveform.begin(), waveform.end()};
}

Window clipped(const waveform::Waveform& waveform, Window window) {
  const Window result{std::max(window.begin, waveform.begin()), std::min(window.end, waveform.end())};
  if (!(result.begin <= result.end)) refuse(waveform, window);
  return result;
}

Pieces::Pieces(const waveform::Waveform& waveform, Window window) : waveform_(waveform), window_(window) {
  const bool inside = waveform.begin() <= window.begin && window.begin <= window.end && window.end <= waveform.end();
  if (!inside) refuse(waveform, window);
  first_ = waveform.step_at(window.begin);
  const std::size_t last = waveform.step_at(window.end);
  // A window that ends on a joint ends in the step before it, unless the joint is all it holds.
  past_ = last > first_ && waveform.step_begin(last) == window.end ? last : last + 1;
}

Piece Pieces::piece(std::size_t step) const {
  Piece piece{};
  piece.step = step;
  piece.step_begin = waveform_.step_begin(step);
  piece.step_end = waveform_.step_end(step);
  piece.begin = std::max(window_.begin, piece.step_begin);
  piece.end = std::min(window_.end, piece.step_end);
  piece.from = waveform::local_variable(piece.begin, piece.step_begin, piece.step_end);
  piece.to = waveform::local_variable(piece.end, piece.step_begin, piece.step_end);
  return piece;
}

double value_at(const waveform::Waveform& waveform, std::size_t channel, const waveform::Polynomial& polynomial,
                const Piece& piece, double s) {
  if (s == -1.0) return waveform.nodes(channel, piece.step).front();
  if (s == 1.0) return waveform.nodes(channel, piece.step).back();
  return polynomial(s);
}

}  // namespace gateswing::measure
