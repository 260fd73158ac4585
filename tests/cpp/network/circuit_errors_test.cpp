// Circuits that cannot be computed are refused in a sentence that names what is wrong.
#include <doctest/doctest.h>

#include <limits>

#include "gateswing/network/compiled_network.h"
#include "network/support.h"

namespace gateswing::network::test {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();

bool says(const std::string& sentence, std::initializer_list<const char*> words) {
  return std::ranges::all_of(words, [&](const char* word) { return sentence.find(word) != std::string::npos; });
}

/// A sound circuit of a source, a resistor and a capacitor, to which the tests add what is not sound.
struct Sound {
  Circuit circuit;
  Node a = circuit.node("a");
  Node b = circuit.node("b");

  Sound() {
    circuit.add_voltage_source("supply", a, Node::ground, PiecewiseLinear(10.0));
    circuit.add_resistor("resistor", a, b, 100.0);
    circuit.add_capacitor("capacitor", b, Node::ground, device::ConstantCapacitance<>{1e-9});
  }

  std::string refusal() {
    return test::refusal([this] { compile(circuit); });
  }
};

PiecewiseLinear ramp() {
  return PiecewiseLinear({{0.0, 0.0}, {1e-6, 1.0}});
}

TEST_CASE("a sound circuit is not refused") {
  CHECK(Sound().refusal().empty());
}

TEST_CASE("a loop of voltage sources is refused by the name of one of them") {
  Sound sound;
  sound.circuit.add_voltage_source("second supply", sound.a, Node::ground, PiecewiseLinear(12.0));
  CHECK(says(sound.refusal(), {"'second supply'", "loop of ideal voltage sources"}));
}

TEST_CASE("a short across a voltage source is refused as a loop of sources") {
  Sound sound;
  sound.circuit.add_inductor("strap", sound.a, Node::ground, 0.0);
  CHECK(says(sound.refusal(), {"'strap'", "zero inductances"}));
}

TEST_CASE("a stray node is refused by its name") {
  Sound sound;
  const Node island = sound.circuit.node("island");
  const Node shore = sound.circuit.node("shore");
  sound.circuit.add_resistor("bridge", island, shore, 1.0);
  CHECK(says(sound.refusal(), {"no path to ground", "'island'", "'shore'"}));
}

TEST_CASE("a gate that nothing drives is refused as a stray node") {
  Sound sound;
  sound.circuit.add_channel("channel", sound.circuit.node("gate"), sound.b, Node::ground, {2.0, 1.0, 0.0, 0.05});
  CHECK(says(sound.refusal(), {"no path to ground", "'gate'"}));
}

TEST_CASE("a current source without a return path is refused by its name") {
  Sound sound;
  sound.circuit.add_current_source("load", sound.a, sound.circuit.node("open"), PiecewiseLinear(5.0));
  CHECK(says(sound.refusal(), {"'load'", "no path", "freewheel"}));
}

TEST_CASE("a capacitor across a changing source is refused by both names") {
  Sound sound;
  const Node c = sound.circuit.node("c");
  sound.circuit.add_voltage_source("edge", c, Node::ground, ramp());
  sound.circuit.add_capacitor("stray capacitance", c, sound.b, device::ConstantCapacitance<>{1e-12});
  CHECK(says(sound.refusal(), {"'stray capacitance'", "'edge'", "resistance"}));
}

TEST_CASE("a capacitor across a constant source is accepted") {
  Sound sound;
  sound.circuit.add_capacitor("bulk", sound.a, Node::ground, device::ConstantCapacitance<>{1e-6}, 10.0);
  CHECK(sound.refusal().empty());
}

TEST_CASE("a changing current forced through an inductor is refused by both names") {
  Sound sound;
  const Node c = sound.circuit.node("c");
  sound.circuit.add_current_source("edge", sound.b, c, ramp());
  sound.circuit.add_inductor("lead", c, Node::ground, 1e-9);
  CHECK(says(sound.refusal(), {"'edge'", "'lead'"}));
}

TEST_CASE("a gate voltage that only an inductor's derivative would give is refused") {
  Sound sound;
  const Node gate = sound.circuit.node("gate");
  sound.circuit.add_inductor("gate lead", sound.b, gate, 1e-9);
  sound.circuit.add_channel("channel", gate, sound.a, Node::ground, {2.0, 1.0, 0.0, 0.05});
  CHECK(says(sound.refusal(), {"'channel.gate_source'", "'gate lead'", "capacitance"}));
}

TEST_CASE("an element with both terminals on one node is refused by element and node") {
  Sound sound;
  CHECK(says(refusal([&] { sound.circuit.add_resistor("loose", sound.b, sound.b, 1.0); }), {"'loose'", "'b'"}));
}

TEST_CASE("a name used twice is refused, whatever the elements") {
  Sound sound;
  const auto again = [&] { sound.circuit.add_inductor("resistor", sound.a, sound.b, 1e-6); };
  CHECK(says(refusal(again), {"'resistor'", "taken"}));
  CHECK(says(refusal([&] { sound.circuit.add_input("supply", ramp()); }), {"'supply'", "exists"}));
}

TEST_CASE("an unknown name is refused when something is looked up by it") {
  const Sound sound;
  const CompiledNetwork network = compile(sound.circuit);
  CHECK(says(refusal([&] { (void)sound.circuit.branch_index("resister"); }), {"'resister'"}));
  CHECK(says(refusal([&] { (void)sound.circuit.input_index("suply"); }), {"'suply'"}));
  CHECK(says(refusal([&] { voltage_probe(network, "v", "c", "ground"); }), {"node 'c'", "ground, a, b"}));
  CHECK(says(refusal([&] { current_probe(network, "i", "coil"); }), {"branch 'coil'", "resistor"}));
}

TEST_CASE("a negative or not finite resistance, inductance or start value is refused with the value") {
  Sound sound;
  Circuit& c = sound.circuit;
  for (const double bad : {-1e-9, nan, infinity}) {
    CAPTURE(bad);
    CHECK(says(refusal([&] { c.add_resistor("x", sound.a, sound.b, bad); }), {"'x'", "resistance", "got"}));
    CHECK(says(refusal([&] { c.add_inductor("x", sound.a, sound.b, bad); }), {"'x'", "inductance", "got"}));
    CHECK(says(refusal([&] { c.add_capacitor("x", sound.a, sound.b, device::ConstantCapacitance<>{bad}); }),
               {"'x'", "capacitance", "got"}));
  }
  CHECK(says(refusal([&] { c.add_resistor("x", sound.a, sound.b, -1e-9); }), {"got -1e-09"}));
  CHECK(says(refusal([&] { c.add_inductor("x", sound.a, sound.b, 1e-9, nan); }), {"initial current", "nan"}));
  CHECK(says(refusal([&] { c.add_capacitor("x", sound.a, sound.b, device::ConstantCapacitance<>{1e-9}, infinity); }),
             {"initial voltage", "inf"}));
}

TEST_CASE("a zero capacitance is refused, for the state would be undefined") {
  Sound sound;
  const auto add = [&] { sound.circuit.add_capacitor("x", sound.a, sound.b, device::ConstantCapacitance<>{0.0}); };
  CHECK(says(refusal(add), {"'x'", "capacitance [F]", "above zero"}));
}

/// The refusal of an element whose law has one value spoilt.
template <class Add, class Law>
std::string spoilt(Add&& add, Law law, double Law::* field, double bad) {
  law.*field = bad;
  return refusal([&] { add(law); });
}

TEST_CASE("each parameter of a diode, knee, channel or driver is checked when the element is added") {
  Sound sound;
  Circuit& c = sound.circuit;
  const InputIndex command = c.add_input("command", PiecewiseLinear(0.0));
  const auto diode = [&](const auto& law) { c.add_diode("x", sound.a, sound.b, law); };
  const auto knee = [&](const auto& law) { c.add_knee("x", sound.a, sound.b, law); };
  const auto channel = [&](const auto& law) { c.add_channel("x", sound.a, sound.b, Node::ground, law); };
  const auto driver = [&](const auto& law) { c.add_driver("x", sound.a, sound.b, Node::ground, command, law); };
  using Diode = device::JunctionDiode<>;
  using Knee = device::KneeConduction<>;
  using Channel = device::MosfetChannel<>;
  using Driver = device::DriverOutput<>;
  const Diode good_diode{1e-9, 0.026, 1e-8, 1e-7};
  const Knee good_knee{1.0, 0.1, 0.01};
  const Channel good_channel{2.0, 10.0, 0.1, 0.05};
  const Driver good_driver{1.0, 1.0, 0.5, 0.5, 0.0, 0.0, 0.05};
  for (const double bad : {-1.0, nan}) {
    CAPTURE(bad);
    for (const auto field :
         {&Diode::saturation_current, &Diode::emission_voltage, &Diode::transit_time, &Diode::lifetime})
      CHECK(says(spoilt(diode, good_diode, field, bad), {"'x'", "got"}));
    for (const auto field : {&Knee::knee_voltage, &Knee::slope_resistance, &Knee::knee_width})
      CHECK(says(spoilt(knee, good_knee, field, bad), {"'x'", "got"}));
    for (const auto field :
         {&Channel::transconductance_factor, &Channel::mobility_degradation, &Channel::subthreshold_voltage})
      CHECK(says(spoilt(channel, good_channel, field, bad), {"'x'", "got"}));
    for (const auto field :
         {&Driver::source_resistance, &Driver::sink_resistance, &Driver::inverse_source_limit,
          &Driver::inverse_sink_limit, &Driver::source_drop, &Driver::sink_drop, &Driver::drop_width})
      CHECK(says(spoilt(driver, good_driver, field, bad), {"'x'", "got"}));
  }
  CHECK(says(spoilt(channel, good_channel, &Channel::threshold_voltage, nan), {"threshold voltage"}));
  CHECK(spoilt(channel, good_channel, &Channel::threshold_voltage, -2.0).empty());
}

TEST_CASE("each parameter of a capacitance law is checked when the element is added") {
  Sound sound;
  const auto add = [&](const auto& law) { sound.circuit.add_capacitor("x", sound.a, sound.b, law); };
  using Depletion = device::DepletionCapacitance<>;
  using Step = device::StepCapacitance<>;
  const Depletion junction{1e-9, 0.7, 0.5, 1e-11, 3e-9};
  const Step step{1e-9, 2e-9, 2.0, 1.0};
  for (const double bad : {-1.0, nan}) {
    CAPTURE(bad);
    for (const auto field :
         {&Depletion::zero_bias, &Depletion::potential, &Depletion::grading, &Depletion::floor, &Depletion::ceiling})
      CHECK(says(spoilt(add, junction, field, bad), {"'x'", "got"}));
    for (const auto field : {&Step::low, &Step::high, &Step::width})
      CHECK(says(spoilt(add, step, field, bad), {"'x'", "got"}));
  }
  CHECK(says(spoilt(add, junction, &Depletion::grading, 1.0), {"grading", "between 0 and 1"}));
  CHECK(says(spoilt(add, junction, &Depletion::ceiling, 1e-9), {"ceiling", "above the zero-bias"}));
  CHECK(says(spoilt(add, step, &Step::centre, nan), {"centre"}));
}

TEST_CASE("an evaluator too small for a circuit says how many states there are") {
  Circuit circuit;
  for (int k = 0; k < 8; ++k) {
    const Node node = circuit.node(numbered("n", k));
    circuit.add_capacitor(numbered("c", k), node, Node::ground, device::ConstantCapacitance<>{1e-9});
    circuit.add_resistor(numbered("r", k), node, Node::ground, 1.0);
  }
  const CompiledNetwork network = compile(circuit);
  CHECK(says(refusal([&] { const NetworkSystem<6> small(network); }), {"8 states", "holds 6"}));
}

TEST_CASE("a circuit with more energy integrals than there is room for says so") {
  Circuit circuit;
  const Node node = circuit.node("n");
  circuit.add_capacitor("c", node, Node::ground, device::ConstantCapacitance<>{1e-9});
  for (int k = 0; k <= integral_capacity(6); ++k) circuit.add_resistor(numbered("r", k), node, Node::ground, 1.0);
  const CompiledNetwork network = compile(circuit);
  CHECK(says(refusal([&] { const NetworkSystem<6> small(network); }), {"25", "integrals", "24"}));
}

}  // namespace
}  // namespace gateswing::network::test
