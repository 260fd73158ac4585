// Parts that are heated by their losses: their data at the temperature they hold for, and the way of the heat.
#pragma once

#include "gateswing/device/junction_diode.h"
#include "gateswing/device/mosfet.h"
#include "gateswing/device/temperature.h"
#include "gateswing/network/refusals.h"

namespace gateswing::network {

/// From a junction to the ambient, in the mean over a period.
struct HeatPath {
  double ambient = 0.0;     ///< [K]
  double resistance = 0.0;  ///< junction to ambient [K/W]
};

/// Throws std::invalid_argument for a way that makes no sense.
inline void require_valid(const HeatPath& path) {
  require_positive(path.ambient, {}, "the ambient temperature of a cooling [K]");
  require_not_negative(path.resistance, {}, "the thermal resistance of a cooling [K/W]");
}

/// A MOSFET whose junction temperature follows from its losses; takes the place of the cell's.
struct CooledMosfet {
  device::Mosfet<> stated;
  double stated_temperature = 0.0;  ///< at which `stated` holds [K]
  device::MosfetTemperature<> coefficients;
  device::DiodeTemperature<> body_diode;
  HeatPath path;

  [[nodiscard]] device::Mosfet<> at(double junction) const {
    return device::at_temperature(stated, coefficients, body_diode, device::Warming<>{stated_temperature, junction});
  }
};

/// Likewise the junction of a diode.
struct CooledDiode {
  device::JunctionDiode<> stated;
  double stated_temperature = 0.0;  ///< at which `stated` holds [K]
  device::DiodeTemperature<> coefficients;
  HeatPath path;

  [[nodiscard]] device::JunctionDiode<> at(double junction) const {
    return device::at_temperature(stated, coefficients, device::Warming<>{stated_temperature, junction});
  }
};

}  // namespace gateswing::network
