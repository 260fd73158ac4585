// IEC 60747-8 switching times from level crossings.
#include "gateswing/measure/switching_times.h"

#include "gateswing/measure/crossing.h"

namespace gateswing::measure {

namespace {

std::optional<double> gate_instant(const waveform::Waveform& waveform, std::size_t gate_source, double level,
                                   Direction direction, Window window, const std::optional<Window>& drain) {
  if (drain) window.end = drain->begin;
  return last_crossing(waveform, gate_source, level, direction, window);
}

}  // namespace

std::optional<double> EdgeTimes::delay() const {
  if (!gate || !drain) return std::nullopt;
  return drain->begin - *gate;
}

std::optional<double> EdgeTimes::transition() const {
  if (!drain) return std::nullopt;
  return drain->length();
}

std::optional<double> EdgeTimes::total() const {
  if (!gate || !drain) return std::nullopt;
  return drain->end - *gate;
}

EdgeTimes turn_on_times(const waveform::Waveform& waveform, std::size_t gate_source, Levels gate,
                        std::size_t drain_source, Levels drain, Window window) {
  EdgeTimes times;
  times.drain = main_transition(waveform, drain_source, drain.at(0.9), drain.at(0.1), window);
  times.gate = gate_instant(waveform, gate_source, gate.at(0.1), Direction::rising, window, times.drain);
  return times;
}

EdgeTimes turn_off_times(const waveform::Waveform& waveform, std::size_t gate_source, Levels gate,
                         std::size_t drain_source, Levels drain, Window window) {
  EdgeTimes times;
  times.drain = main_transition(waveform, drain_source, drain.at(0.1), drain.at(0.9), window);
  times.gate = gate_instant(waveform, gate_source, gate.at(0.9), Direction::falling, window, times.drain);
  return times;
}

}  // namespace gateswing::measure
