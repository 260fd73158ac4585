// Whether the memory that tests let run out does so when they say.
#include "failing_memory.h"

#include <doctest/doctest.h>

#include <string>

namespace gateswing_test {

TEST_CASE("the chosen allocation fails, and only that") {
  const std::string text(100, 'x');
  const FailingAllocation failing(1);
  const std::string first = text;
  CHECK_FALSE(FailingAllocation::happened());
  bool failed = false;
  try {
    const std::string second = text;
  } catch (const std::bad_alloc&) {
    failed = true;
  }
  CHECK(failed);
  CHECK(FailingAllocation::happened());
  CHECK(std::string(text) == first);
}

}  // namespace gateswing_test
