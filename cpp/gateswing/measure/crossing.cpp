// One walk over a window that reports every level crossing, and the questions asked of it.
#include "gateswing/measure/crossing.h"

#include <cmath>

#include "gateswing/measure/sign_changes.h"
#include "gateswing/network/refusals.h"

namespace gateswing::measure {

namespace {

// Calls visit(Crossing) for each crossing until it returns false.
template <class Visit>
void scan(const waveform::Waveform& waveform, std::size_t channel, double level, Window window, Visit visit) {
  bool started = false;
  bool above = false;
  const auto move_to = [&above, &visit](bool now_above, double time) {
    if (now_above == above) return true;
    above = now_above;
    return static_cast<bool>(visit(Crossing{time, above ? Direction::rising : Direction::falling}));
  };
  std::size_t last_step = 0;
  for (const Piece piece : Pieces(waveform, window)) {
    last_step = piece.step;
    waveform::Polynomial p = waveform.polynomial(channel, piece.step);
    const double value_from = value_at(waveform, channel, p, piece, piece.from) - level;
    const double value_to = value_at(waveform, channel, p, piece, piece.to) - level;
    if (!started) above = value_from >= 0.0;
    started = true;
    if (!move_to(value_from >= 0.0, piece.begin)) return;
    p.coefficients[0] -= level;
    const bool may_cross = std::abs(p.coefficients[0]) <= p.spread() || (value_from >= 0.0) != (value_to >= 0.0);
    if (!may_cross) continue;
    for (const double s : sign_changes(p, piece.from, value_from, piece.to, value_to)) {
      if (!move_to(!above, piece.time(s))) return;
    }
  }
  const std::size_t next = last_step + 1;
  if (next < waveform.steps() && waveform.step_begin(next) == window.end) {
    move_to(waveform.nodes(channel, next).front() >= level, window.end);
  }
}

}  // namespace

std::vector<Crossing> crossings(const waveform::Waveform& waveform, std::size_t channel, double level, Window window) {
  std::vector<Crossing> found;
  scan(waveform, channel, level, window, [&found](Crossing crossing) {
    found.push_back(crossing);
    return true;
  });
  return found;
}

std::optional<double> first_crossing(const waveform::Waveform& waveform, std::size_t channel, double level,
                                     Direction direction, Window window) {
  std::optional<double> found;
  scan(waveform, channel, level, window, [&found, direction](Crossing crossing) {
    if (crossing.direction == direction) found = crossing.time;
    return !found.has_value();
  });
  return found;
}

std::optional<double> last_crossing(const waveform::Waveform& waveform, std::size_t channel, double level,
                                    Direction direction, Window window) {
  std::optional<double> found;
  scan(waveform, channel, level, window, [&found, direction](Crossing crossing) {
    if (crossing.direction == direction) found = crossing.time;
    return true;
  });
  return found;
}

std::optional<Window> main_transition(const waveform::Waveform& waveform, std::size_t channel, double from, double to,
                                      Window window) {
  if (from == to) network::refuse(to, {}, "the second level of a transition", "another one than its first");
  const Direction direction = to > from ? Direction::rising : Direction::falling;
  const std::optional<double> end = first_crossing(waveform, channel, to, direction, window);
  if (!end) return std::nullopt;
  const std::optional<double> begin = last_crossing(waveform, channel, from, direction, {window.begin, *end});
  if (!begin) return std::nullopt;
  return Window{*begin, *end};
}

}  // namespace gateswing::measure
