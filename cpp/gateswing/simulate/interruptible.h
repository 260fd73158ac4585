// Runs one study on a thread of its own, so that the caller can look for an interrupt meanwhile.
#pragma once

#include <atomic>
#include <chrono>
#include <functional>
#include <future>

#include "gateswing/simulate/settings.h"

namespace gateswing::simulate {

/// work(settings) on another thread. `poll` is called about twenty times a second on this one; when it returns false or
/// throws, or by then the caller's own flag is set, the study is cancelled and ends as Settings say. Exceptions of the
/// work and of the poll reach the caller.
template <class Work>
auto run_interruptible(const Work& work, Settings settings, const std::function<bool()>& poll) {
  constexpr std::chrono::milliseconds poll_interval{50};
  const Settings asked = settings;
  std::atomic<bool> cancelled = asked.is_cancelled();
  settings.cancelled = &cancelled;
  auto answer = std::async(std::launch::async, [&] { return work(settings); });
  try {
    while (answer.wait_for(poll_interval) != std::future_status::ready) {
      if (!cancelled && (asked.is_cancelled() || !poll())) cancelled = true;
    }
  } catch (...) {
    cancelled = true;  // else the answer's end would be waited for
    throw;
  }
  return answer.get();
}

}  // namespace gateswing::simulate
