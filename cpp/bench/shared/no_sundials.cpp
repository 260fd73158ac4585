// Stands in for sundials.cpp where SUNDIALS is not installed.
#include "shared/outside.h"

namespace gateswing::bench {

std::vector<Setting> sundials_settings() {
  return {};
}

}  // namespace gateswing::bench
