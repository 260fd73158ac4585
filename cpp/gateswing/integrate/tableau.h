// Coefficients of stiffly accurate Rosenbrock methods for M x' = f(x, t), in the transformed form
//   (M/(gamma h) - J) u_i = f(t + c_i h, x + sum_j a_ij u_j) + M sum_j (k_ij/h) u_j + h d_i f_t,   x1 = x + sum_i b_i
//   u_i
// (E. Hairer, G. Wanner, Solving Ordinary Differential Equations II, 2nd ed., section IV.7), error estimate
// sum_i e_i u_i, and dense output x(theta) = (1-theta) x0 + theta x1 + theta (1-theta) sum_l theta^l sum_j dense_lj
// u_j. Every consistent set obeys d_i = gamma (1 + sum_j k_ij d_j), c_i = sum_j a_ij d_j and sum_i b_i d_i = 1.
#pragma once

#include <array>
#include <cstddef>

namespace gateswing::integrate {

template <std::size_t stages>
using Row = std::array<double, stages>;
template <std::size_t stages>
using Triangle = std::array<Row<stages>, stages>;
inline constexpr std::size_t dense_rows = 3;  // of the richest method; the others fill up with zeros
template <std::size_t stages>
using DenseRows = std::array<Row<stages>, dense_rows>;

// RODAS of Hairer and Wanner, order 4 with an embedded order 3, L-stable.
struct Rodas4 {
  static constexpr std::size_t stages = 6;
  static constexpr int order = 4;
  static constexpr int embedded_order = 3;
  static constexpr int dense_order = 3;
  static constexpr double gamma = 0.25;
  static constexpr Row<stages> c{0.0, 0.386, 0.21, 0.63, 1.0, 1.0};
  // d_4 is negative: the consistency relation above decides, against the sign found in Boost.Odeint 1.74.
  static constexpr Row<stages> d{0.25, -0.1043, 0.1035, -0.03620000000000023, 0.0, 0.0};
  static constexpr Triangle<stages> a{
      {{},
       {1.544},
       {0.9466785280815826, 0.2557011698983284},
       {3.314825187068521, 2.896124015972201, 0.9986419139977817},
       {1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950},
       {1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 1.0}}};
  static constexpr Triangle<stages> k{
      {{},
       {-5.668800000000000},
       {-2.430093356833875, -0.2063599157091915},
       {-0.1073529058151375, -9.594562251023355, -20.47028614809616},
       {7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160},
       {8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136, -6.058818238834054}}};
  static constexpr Row<stages> b{
      1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 1.0, 1.0};
  static constexpr Row<stages> error{0.0, 0.0, 0.0, 0.0, 0.0, 1.0};
  static constexpr DenseRows<stages> dense{
      {{10.12623508344586, -7.487995877610167, -34.80091861555747, -7.992771707568823, 1.025137723295662},
       {-0.6762803392801253, 6.087714651680015, 16.43084320892478, 24.76722511418386, -6.594389125716872},
       {}}};
};

// RODASP: order 4, with extra conditions against order reduction under stiff time-dependent forcing.
// G. Steinebach (1995), as quoted in Hairer and Wanner; digits as in OrdinaryDiffEq.jl (Rodas4P).
struct Rodas4P {
  static constexpr std::size_t stages = 6;
  static constexpr int order = 4;
  static constexpr int embedded_order = 3;
  static constexpr int dense_order = 3;
  static constexpr double gamma = 0.25;
  static constexpr Row<stages> c{0.0, 0.75, 0.21, 0.63, 1.0, 1.0};
  static constexpr Row<stages> d{0.25, -0.5, -0.023504, -0.0362, 0.0, 0.0};
  static constexpr Triangle<stages> a{
      {{},
       {3.0},
       {1.831036793486759, 0.4955183967433795},
       {2.304376582692669, -0.05249275245743001, -1.176798761832782},
       {-7.170454962423024, -4.741636671481785, -16.31002631330971, -1.062004044111401},
       {-7.170454962423024, -4.741636671481785, -16.31002631330971, -1.062004044111401, 1.0}}};
  static constexpr Triangle<stages> k{
      {{},
       {-12.0},
       {-8.791795173947035, -2.207865586973518},
       {10.81793056857153, 6.780270611428266, 19.53485944642410},
       {34.19095006749676, 15.49671153725963, 54.74760875964130, 14.16005392148534},
       {34.62605830930532, 15.30084976114473, 56.99955578662667, 18.40807009793095, -5.714285714285717}}};
  static constexpr Row<stages> b{
      -7.170454962423024, -4.741636671481785, -16.31002631330971, -1.062004044111401, 1.0, 1.0};
  static constexpr Row<stages> error{0.0, 0.0, 0.0, 0.0, 0.0, 1.0};
  static constexpr DenseRows<stages> dense{
      {{25.09876703708589, 11.62013104361867, 28.49148307714626, -5.664021568594133},
       {1.638054557396973, -0.7373619806678748, 8.477918219238990, 15.99253178779520, -1.882352941176471},
       {}}};
};

// Rodas5P: order 5 with an embedded order 4, L-stable, resists order reduction.
// G. Steinebach, BIT Numerical Mathematics 63:27 (2023), doi 10.1007/s10543-023-00967-x; digits as in
// OrdinaryDiffEq.jl.
struct Rodas5P {
  static constexpr std::size_t stages = 8;
  static constexpr int order = 5;
  static constexpr int embedded_order = 4;
  static constexpr int dense_order = 4;
  static constexpr double gamma = 0.21193756319429014;
  static constexpr Row<stages> c{
      0.0, 0.6358126895828704, 0.4095798393397535, 0.9769306725060716, 0.4288403609558664, 1.0, 1.0, 1.0};
  static constexpr Row<stages> d{0.21193756319429014,
                                 -0.42387512638858027,
                                 -0.3384627126235924,
                                 1.8046452872882734,
                                 2.325825639765069,
                                 0.0,
                                 0.0,
                                 0.0};
  static constexpr Triangle<stages> a{
      {{},
       {3.0},
       {2.849394379747939, 0.45842242204463923},
       {-6.954028509809101, 2.489845061869568, -10.358996098473584},
       {2.8029986275628964, 0.5072464736228206, -0.3988312541770524, -0.04721187230404641},
       {-7.502846399306121, 2.561846144803919, -11.627539656261098, -0.18268767659942256, 0.030198172008377946},
       {-7.502846399306121, 2.561846144803919, -11.627539656261098, -0.18268767659942256, 0.030198172008377946, 1.0},
       {-7.502846399306121, 2.561846144803919, -11.627539656261098, -0.18268767659942256, 0.030198172008377946, 1.0,
        1.0}}};
  static constexpr Triangle<stages> k{
      {{},
       {-14.155112264123755},
       {-17.97296035885952, -2.859693295451294},
       {147.12150275711716, -1.41221402718213, 71.68940251302358},
       {165.43517024871676, -0.4592823456491126, 42.90938336958603, -5.961986721573306},
       {24.854864614690072, -3.0009227002832186, 47.4931110020768, 5.5814197821558125, -0.6610691825249471},
       {30.91273214028599, -3.1208243349937974, 77.79954646070892, 34.28646028294783, -19.097331116725623,
        -28.087943162872662},
       {37.80277123390563, -3.2571969029072276, 112.26918849496327, 66.9347231244047, -40.06618937091002,
        -54.66780262877968, -9.48861652309627}}};
  static constexpr Row<stages> b{-7.502846399306121,
                                 2.561846144803919,
                                 -11.627539656261098,
                                 -0.18268767659942256,
                                 0.030198172008377946,
                                 1.0,
                                 1.0,
                                 1.0};
  static constexpr Row<stages> error{0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0};
  static constexpr DenseRows<stages> dense{
      {{25.948786856663858, -2.5579724845846235, 10.433815404888879, -2.3679251022685204, 0.524948541321073,
        1.1241088310450404, 0.4272876194431874, -0.17202221070155493},
       {-9.91568850695171, -0.9689944594115154, 3.0438037242978453, -24.495224566215796, 20.176138334709044,
        15.98066361424651, -6.789040303419874, -6.710236069923372},
       {11.419903575922262, 2.8879645146136994, 72.92137995996029, 80.12511834622643, -52.072871366152654,
        -59.78993625266729, -0.15582684282751913, 4.883087185713722}}};
};

// Weights w with which the same method integrates a pure quadrature q' = p(x, t). Its row of the linear system does not
// couple back, so it can be eliminated: w = gamma (I - gamma K)^-T b, and
//   q1 - q0 = h sum_i w_i p_i + p_x (h sum_i w_i u_i) + p_t h^2 sum_i w_i d_i.
template <class Tableau>
constexpr Row<Tableau::stages> quadrature_weights() {
  Row<Tableau::stages> w{};
  for (std::size_t i = Tableau::stages; i-- > 0;) {
    w[i] = Tableau::gamma * Tableau::b[i];
    for (std::size_t j = i + 1; j < Tableau::stages; ++j) w[i] += Tableau::gamma * Tableau::k[j][i] * w[j];
  }
  return w;
}

// sum_i w_i d_i of the formula above.
template <class Tableau>
constexpr double quadrature_time_weight() {
  constexpr Row<Tableau::stages> w = quadrature_weights<Tableau>();
  double sum = 0.0;
  for (std::size_t i = 0; i < Tableau::stages; ++i) sum += w[i] * Tableau::d[i];
  return sum;
}

// Calls `work` with the tableau that needs the least time at a relative tolerance: Rodas4 from 5e-4 up, where Rodas5P
// now and then accepts a step it should not, Rodas5P below. Measured on the three cells of the bench.
template <class Callable>
decltype(auto) with_method_for(double relative_tolerance, Callable&& work) {
  constexpr double rodas4_from = 5e-4;
  if (relative_tolerance >= rodas4_from) return work(Rodas4{});
  return work(Rodas5P{});
}

}  // namespace gateswing::integrate
