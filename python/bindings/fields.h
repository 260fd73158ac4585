// Binding of plain structs: each field is listed once, as name, member and unit, and the list gives read-write
// properties, repr, equality and pickling (hence copy and deepcopy).
#pragma once

#include <pybind11/pybind11.h>

#include <cstddef>
#include <stdexcept>
#include <string>

namespace gateswing::bindings {

template <class Struct, class Value>
struct Field {
  const char* name;
  Value Struct::* member;
  const char* unit;
};

/// An entry of the list. `unit` is what stands in the brackets of the property's docstring; empty for none.
template <class Struct, class Value>
Field<Struct, Value> field(const char* name, Value Struct::* member, const char* unit = "") {
  return {name, member, unit};
}

namespace detail {

inline std::string docstring(const std::string& unit) {
  return unit.empty() ? unit : "[" + unit + "]";
}

template <class Struct, class... Values>
pybind11::tuple state(const Struct& self, const Field<Struct, Values>&... fields) {
  return pybind11::make_tuple<pybind11::return_value_policy::copy>(self.*fields.member...);
}

template <class Struct, class... Values>
Struct from_state(const pybind11::tuple& state, const Field<Struct, Values>&... fields) {
  if (state.size() != sizeof...(fields)) throw std::invalid_argument("the pickle was made from other fields");
  Struct self{};
  std::size_t index = 0;
  ((self.*fields.member = state[index++].template cast<Values>()), ...);
  return self;
}

template <class Struct, class... Values>
std::string text(const Struct& self, const Field<Struct, Values>&... fields) {
  std::string result;
  const auto append = [&result](const char* name, const pybind11::object& value) {
    result += (result.empty() ? "" : ", ") + std::string(name) + "=" + std::string(pybind11::repr(value));
  };
  (append(fields.name, pybind11::cast(self.*fields.member)), ...);
  const auto type = pybind11::type::of<Struct>().attr("__name__").template cast<std::string>();
  return type + "(" + result + ")";
}

}  // namespace detail

/// Makes the struct default-constructible from Python and gives the class everything that follows from its fields.
/// Equality and the rest compare and show the fields as Python sees them, so nested structs must be bound before use.
template <class Struct, class... Options, class... Values>
void bind_fields(pybind11::class_<Struct, Options...>& type, const Field<Struct, Values>&... fields) {
  type.def(pybind11::init<>());
  (type.def_readwrite(fields.name, fields.member, detail::docstring(fields.unit).c_str()), ...);
  type.def("__repr__", [fields...](const Struct& self) { return detail::text(self, fields...); });
  type.def(
      "__eq__",
      [fields...](const Struct& self, const Struct& other) {
        return detail::state(self, fields...).equal(detail::state(other, fields...));
      },
      pybind11::is_operator());
  type.def(
      pybind11::pickle([fields...](const Struct& self) { return detail::state(self, fields...); },
                       [fields...](const pybind11::tuple& state) { return detail::from_state(state, fields...); }));
}

}  // namespace gateswing::bindings
