// One line of JSON on the standard output, which run.py reads.
#pragma once

#include <cmath>
#include <cstdio>
#include <string>
#include <string_view>
#include <vector>

namespace gateswing::bench {

/// Built key by key, printed when it goes out of scope. Texts must need no escapes; what is not finite becomes null.
class JsonLine {
 public:
  explicit JsonLine(std::string_view kind) { add("kind", kind); }
  JsonLine(const JsonLine&) = delete;
  JsonLine& operator=(const JsonLine&) = delete;
  JsonLine(JsonLine&&) = delete;
  JsonLine& operator=(JsonLine&&) = delete;
  ~JsonLine() {
    std::printf("{%s}\n", text_.c_str());
    std::fflush(stdout);
  }

  JsonLine& add(std::string_view key, std::string_view value) {
    std::string quoted(1, '"');
    quoted.append(value).push_back('"');
    return write(key, quoted);
  }
  JsonLine& add(std::string_view key, const char* value) { return add(key, std::string_view(value)); }
  JsonLine& add(std::string_view key, double value) { return write(key, number(value)); }
  JsonLine& add(std::string_view key, const std::vector<double>& values) {
    std::string list(1, '[');
    for (const double value : values) list.append(list.size() > 1 ? "," : "").append(number(value));
    list.push_back(']');
    return write(key, list);
  }

 private:
  static std::string number(double value) {
    if (!std::isfinite(value)) return "null";
    char digits[32];
    std::snprintf(digits, sizeof digits, "%.17g", value);
    return digits;
  }

  JsonLine& write(std::string_view key, const std::string& value) {
    text_.append(text_.empty() ? "\"" : ",\"").append(key).append("\":").append(value);
    return *this;
  }

  std::string text_;
};

}  // namespace gateswing::bench
