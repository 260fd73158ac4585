// Studies on a thread of their own: their answers and exceptions come back, and whoever asks ends them.
#include "gateswing/simulate/interruptible.h"

#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <stdexcept>
#include <thread>

namespace gateswing::simulate::test {
namespace {

constexpr std::chrono::seconds patience{5};  // of work that nobody cancels, so that a failing test ends

/// True if it was cancelled.
bool until_cancelled(const Settings& settings) {
  const auto begin = std::chrono::steady_clock::now();
  while (!settings.cancelled->load()) {
    if (std::chrono::steady_clock::now() - begin > patience) return false;
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  return true;
}

const auto go_on = [] { return true; };

TEST_CASE("the answer of the work comes back, and so does its exception") {
  CHECK(run_interruptible([](const Settings& s) { return s.maximum_steps; }, {.maximum_steps = 7}, go_on) == 7);
  const auto fails = [](const Settings&) -> int { throw std::domain_error("the work"); };
  CHECK_THROWS_WITH_AS(run_interruptible(fails, {}, go_on), "the work", std::domain_error);
}

TEST_CASE("a poll that returns false cancels the work") {
  CHECK(run_interruptible(until_cancelled, {}, [] { return false; }));
}

TEST_CASE("a poll that throws cancels the work before its exception goes on") {
  bool was_cancelled = false;
  const auto work = [&](const Settings& settings) { return was_cancelled = until_cancelled(settings); };
  const auto poll = []() -> bool { throw std::runtime_error("the poll"); };
  CHECK_THROWS_WITH_AS(run_interruptible(work, {}, poll), "the poll", std::runtime_error);
  CHECK(was_cancelled);
}

TEST_CASE("the caller's own flag cancels the work as well, whenever it turns true") {
  std::atomic<bool> cancelled = true;
  CHECK(run_interruptible(until_cancelled, {.cancelled = &cancelled}, go_on));
  cancelled = false;
  const auto later = [&] {
    cancelled = true;
    return true;
  };
  CHECK(run_interruptible(until_cancelled, {.cancelled = &cancelled}, later));
}

}  // namespace
}  // namespace gateswing::simulate::test
