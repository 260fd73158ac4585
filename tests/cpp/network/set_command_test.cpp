// What may be changed of a compiled network, and what it was compiled for.
#include <doctest/doctest.h>

#include <algorithm>

#include "gateswing/network/compiled_network.h"
#include "network/example_cell.h"
#include "network/support.h"

namespace gateswing::network::test {
namespace {

TEST_CASE("the command of a driver can be replaced, no source's waveform and no input that is not there") {
  CompiledNetwork compiled = compile(build(example_cell(), 5.0));
  for (std::size_t input = 0; input < compiled.inputs.size(); ++input) {
    const std::string& name = compiled.input_names[input];
    CAPTURE(name);
    const auto replace = [&] { compiled.set_command(static_cast<InputIndex>(input), PiecewiseLinear(0.75)); };
    if (name == names::gate_command) {
      replace();
      CHECK(compiled.inputs[input].value(0.0) == 0.75);
    } else {
      CHECK(refusal(replace).find(name) != std::string::npos);
      CHECK(compiled.inputs[input].value(0.0) != 0.75);
    }
  }
  const auto beyond = static_cast<InputIndex>(compiled.inputs.size());
  CHECK(refusal([&] { compiled.set_command(beyond, PiecewiseLinear(0.0)); }).find("no input") != std::string::npos);
}

}  // namespace
}  // namespace gateswing::network::test
