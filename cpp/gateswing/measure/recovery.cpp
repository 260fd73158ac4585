#include "gateswing/measure/recovery.h"

#include "gateswing/measure/crossing.h"
#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"

namespace gateswing::measure {

std::optional<Recovery> recovery(const waveform::Waveform& waveform, std::size_t current, Window window) {
  const auto zero = first_crossing(waveform, current, 0.0, Direction::falling, window);
  if (!zero) return std::nullopt;
  const Window reverse{*zero, window.end};
  const Extremum peak = minimum(waveform, current, reverse);
  const Window decay{peak.time, window.end};
  // The last return, so that a ring about zero counts as part of the recovery.
  const auto back_to = [&](double fraction) {
    return last_crossing(waveform, current, fraction * peak.value, Direction::rising, decay);
  };
  const auto quarter = back_to(0.25);
  const auto half = back_to(0.5);
  const auto three_quarters = back_to(0.75);
  const auto nine_tenths = back_to(0.9);
  if (!quarter || !half || !three_quarters || !nine_tenths) return std::nullopt;
  return Recovery{.zero_time = *zero,
                  .peak_time = peak.time,
                  .peak_current = -peak.value,
                  .time = *quarter - *zero,
                  .line_time = *quarter - *zero + (*quarter - *nine_tenths) * 0.25 / 0.65,
                  .short_time = *half - *zero + (*half - *three_quarters) * 0.5 / 0.25,
                  .charge = -integral(waveform, current, reverse)};
}

}  // namespace gateswing::measure
