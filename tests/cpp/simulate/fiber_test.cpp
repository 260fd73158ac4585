// Fibers: left and gone on with in any order, with what they hold, and exceptions that come out where they should.
#include "gateswing/simulate/fiber.h"

#include <doctest/doctest.h>

#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

namespace gateswing::simulate::test {
namespace {

TEST_CASE("fibers take turns and keep their variables") {
  std::string order;
  const auto body = [&](char name) {
    return [&order, name] {
      const std::vector<char> own(1000, name);
      for (int visit = 0; visit < 3; ++visit) {
        order += own[static_cast<std::size_t>(visit) * 300];
        Fiber::pause();
      }
    };
  };
  Fiber a(body('a')), b(body('b'));
  while (!a.ended() || !b.ended()) {
    if (!b.ended()) b.resume();
    if (!a.ended()) a.resume();
  }
  CHECK(order == "bababa");
}

TEST_CASE("a fiber knows itself, and outside there is none") {
  Fiber* seen = nullptr;
  Fiber fiber([&] { seen = Fiber::running(); });
  CHECK(Fiber::running() == nullptr);
  fiber.resume();
  CHECK(seen == &fiber);
  CHECK(fiber.ended());
  CHECK(Fiber::running() == nullptr);
}

TEST_CASE("exceptions are caught within, across a pause, and come out of resume where they are not") {
  bool caught = false;
  Fiber fiber([&] {
    try {
      Fiber::pause();
      throw std::runtime_error("inner");
    } catch (const std::runtime_error&) {
      caught = true;
    }
    Fiber::pause();
    throw std::logic_error("outer");
  });
  fiber.resume();
  CHECK_FALSE(caught);
  fiber.resume();
  CHECK(caught);
  CHECK_THROWS_AS(fiber.resume(), std::logic_error);
  CHECK(fiber.ended());
}

TEST_CASE("a fiber that is given up in its midst lets go of what it holds, and cannot stay") {
  const auto held = std::make_shared<int>(0);
  int visits = 0, refused = 0;
  {
    Fiber left([&, own = held] {
      const std::shared_ptr<int> also = own;
      ++visits;
      for (int attempt = 0; attempt < 3; ++attempt) {
        try {
          Fiber::pause();
        } catch (...) {
          ++refused;
        }
      }
      Fiber::pause();
      ++visits;
    });
    left.resume();
    CHECK(held.use_count() == 3);
  }
  CHECK(visits == 1);
  CHECK(refused == 3);
  CHECK(held.use_count() == 1);
  CHECK(Fiber::running() == nullptr);
}

TEST_CASE("a fiber is given up while an exception is on its way, which goes on") {
  const auto held = std::make_shared<int>(0);
  const auto fails = [&] {
    Fiber left([&] {
      const std::shared_ptr<int> own = held;
      Fiber::pause();
    });
    left.resume();
    throw std::runtime_error("outside");
  };
  CHECK_THROWS_WITH(fails(), "outside");
  CHECK(held.use_count() == 1);
}

TEST_CASE("a fiber that never began is no harm, and there may be many") {
  const Fiber idle([] {});
  int visits = 0;
  std::vector<std::unique_ptr<Fiber>> fibers;
  for (int k = 0; k < 200; ++k) {
    fibers.push_back(std::make_unique<Fiber>([&] {
      ++visits;
      Fiber::pause();
      ++visits;
    }));
  }
  for (int round = 0; round < 2; ++round) {
    for (const auto& fiber : fibers) fiber->resume();
  }
  CHECK(visits == 400);
}

}  // namespace
}  // namespace gateswing::simulate::test
