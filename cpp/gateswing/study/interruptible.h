// Runs one study on a thread of its own, so that the caller can look for an interrupt meanwhile.
#pragma once

#include <atomic>
#include <chrono>
#include <functional>
#include <future>

#include "gateswing/study/settings.h"

namespace gateswing::study {

/// work(settings) on another thread. `poll` is called about twenty times a second on this one; when it returns false
/// the study is cancelled and ends within one integration step. Exceptions of the work reach the caller.
template <class Work>
auto run_interruptible(const Work& work, Settings settings, const std::function<bool()>& poll) {
  constexpr std::chrono::milliseconds poll_interval{50};
  std::atomic<bool> cancelled = false;
  settings.cancelled = &cancelled;
  auto answer = std::async(std::launch::async, [&] { return work(settings); });
  while (answer.wait_for(poll_interval) != std::future_status::ready) {
    if (!cancelled && !poll()) cancelled = true;
  }
  return answer.get();
}

}  // namespace gateswing::study
