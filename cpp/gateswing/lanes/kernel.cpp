#include "gateswing/lanes/kernel.h"

#include <algorithm>

#include "gateswing/lanes/instances.h"

namespace gateswing::lanes {

const std::vector<Kernel>& kernels() {
  static const std::vector<Kernel> found = [] {
    std::vector<Kernel> list;
#ifdef GATESWING_LANES_X86
    if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl"))
      list.push_back({8, "AVX-512", advance_avx512, 1.6});
    if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma")) {
      list.push_back({8, "AVX2", advance_avx2, 2.5});
      list.push_back({2, "half AVX2", advance_narrow, 1.05});
    }
#endif
    return list;
  }();
  return found;
}

const Kernel* kernel_for(std::span<const Kernel> kernels, std::size_t runs) {
  const auto time = [&](const Kernel& kernel) {
    const auto width = static_cast<std::size_t>(kernel.width);
    const std::size_t packs = (runs + width - 1) / width;
    return static_cast<double>(packs) * kernel.attempt_time;
  };
  const auto best = std::ranges::min_element(kernels, {}, time);
  return best != kernels.end() ? &*best : nullptr;
}

}  // namespace gateswing::lanes
