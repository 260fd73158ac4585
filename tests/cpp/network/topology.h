// What a circuit's graph allows, from ranks of its incidence matrix: a second opinion on the normal tree.
#pragma once

#include <Eigen/LU>

#include "gateswing/network/circuit.h"
#include "network/support.h"

namespace gateswing::network::test {

/// Nodes less connected pieces of the graph of the branches for which `wanted(branch index)` holds.
template <class Condition>
int rank(const Circuit& circuit, Condition&& wanted) {
  const auto count = static_cast<Eigen::Index>(circuit.branches().size());
  Eigen::MatrixXd incidence =
      Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(circuit.node_names().size()), std::max<Eigen::Index>(count, 1));
  for (Eigen::Index b = 0; b < count; ++b) {
    if (!wanted(static_cast<BranchIndex>(b))) continue;
    const Branch& branch = circuit.branches()[static_cast<std::size_t>(b)];
    incidence(static_cast<Eigen::Index>(branch.plus), b) = 1.0;
    incidence(static_cast<Eigen::Index>(branch.minus), b) = -1.0;
  }
  return static_cast<int>(Eigen::FullPivLU<Eigen::MatrixXd>(incidence).rank());
}

/// Rank of the branches of the given kinds.
inline int rank_of(const Circuit& circuit, std::initializer_list<BranchKind> kinds) {
  return rank(circuit,
              [&](BranchIndex b) { return std::ranges::find(kinds, circuit.branches()[at(b)].kind) != kinds.end(); });
}

inline int count_of(const Circuit& circuit, BranchKind kind) {
  return static_cast<int>(std::ranges::count(circuit.branches(), kind, &Branch::kind));
}

/// Why a circuit has no solution, or one that jumps.
struct Verdict {
  bool source_loop = false;       ///< voltage sources and shorts close a loop
  bool disconnected = false;      ///< a node has no path to ground but through what carries no current
  bool blocked_current = false;   ///< a current source has no return path
  bool forced_capacitor = false;  ///< a changing voltage lies in a loop of capacitors and sources
  bool forced_inductor = false;   ///< a changing current lies in a cutset of inductors and sources
  bool sensed_inductor = false;   ///< a gate voltage crosses a cutset of inductors and sources

  [[nodiscard]] bool sound() const {
    return !(source_loop || disconnected || blocked_current || forced_capacitor || forced_inductor || sensed_inductor);
  }
};

inline Verdict judge(const Circuit& circuit) {
  using enum BranchKind;
  const int nodes = static_cast<int>(circuit.node_names().size());
  const int static_rank = rank_of(circuit, {voltage_source, capacitor, resistor, conduction});
  const auto joins_static_pieces = [&](BranchIndex extra) {
    return static_rank < rank(
                             circuit,
                             [&](BranchIndex b) {
                               const BranchKind kind = circuit.branches()[at(b)].kind;
                               return b == extra || (kind != inductor && kind != current_source && kind != sense);
                             });
  };
  const auto within_capacitive_loop = [&](BranchIndex source) {
    return rank_of(circuit, {voltage_source, capacitor}) == rank(circuit, [&](BranchIndex b) {
             const BranchKind kind = circuit.branches()[at(b)].kind;
             return b != source && (kind == voltage_source || kind == capacitor);
           });
  };
  Verdict verdict;
  verdict.source_loop = rank_of(circuit, {voltage_source}) < count_of(circuit, voltage_source);
  const int carrying = rank_of(circuit, {voltage_source, capacitor, resistor, conduction, inductor});
  verdict.disconnected = carrying < nodes - 1;
  verdict.blocked_current =
      rank_of(circuit, {voltage_source, capacitor, resistor, conduction, inductor, current_source}) > carrying;
  for (const VoltageSource& source : circuit.voltage_sources()) {
    const bool changes = !circuit.inputs()[at(source.input)].is_constant();
    verdict.forced_capacitor = verdict.forced_capacitor || (changes && within_capacitive_loop(source.branch));
  }
  for (const CurrentSource& source : circuit.current_sources()) {
    const bool changes = !circuit.inputs()[at(source.input)].is_constant();
    verdict.forced_inductor = verdict.forced_inductor || (changes && joins_static_pieces(source.branch));
  }
  for (const Channel& channel : circuit.channels()) {
    verdict.sensed_inductor = verdict.sensed_inductor || joins_static_pieces(channel.gate_source);
  }
  return verdict;
}

}  // namespace gateswing::network::test
