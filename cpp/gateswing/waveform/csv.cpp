// Writing and reading the project's own waveform text layout.
#include "gateswing/waveform/csv.h"

#include <array>
#include <charconv>
#include <fstream>
#include <istream>
#include <ostream>
#include <stdexcept>
#include <utility>

namespace gateswing::waveform {

namespace {

constexpr std::string_view degree_prefix = "# waveform of degree ";
constexpr std::string_view time_heading = "time [s]";

// to_chars and from_chars ignore the locale: a decimal comma must not appear in a file with comma separators.
void write_number(double value, std::ostream& out) {
  std::array<char, 32> text{};
  const auto [end, error] = std::to_chars(text.data(), text.data() + text.size(), value);
  out.write(text.data(), end - text.data());
}

void write_heading(const Channel& channel, std::ostream& out) {
  for (const std::string& part : {channel.name, channel.unit}) {
    if (part.find_first_of(",[]\"\r\n") == std::string::npos) continue;
    throw std::invalid_argument("the channel '" + channel.name + "' in '" + channel.unit +
                                "' has a character that a waveform file cannot hold");
  }
  out << ',' << channel.name << " [" << channel.unit << ']';
}

class LineReader {
 public:
  explicit LineReader(std::istream& in) : in_(in) {}

  bool next() {
    ++number_;
    if (!std::getline(in_, line_)) return false;
    if (line_.ends_with('\r')) line_.pop_back();
    rest_ = line_;
    return true;
  }

  bool at_end_of_line() const { return rest_.data() == nullptr; }

  // The text up to the next comma. After the last field of the line, at_end_of_line() holds.
  std::string_view field() {
    const std::size_t comma = rest_.find(',');
    const std::string_view result = rest_.substr(0, comma);
    rest_ = comma == std::string_view::npos ? std::string_view() : rest_.substr(comma + 1);
    return result;
  }

  template <class Number>
  Number number(std::string_view text) const {
    Number value{};
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size())
      refuse(std::string("'").append(text) + "' is not a number");
    return value;
  }

  [[noreturn]] void refuse(const std::string& reason) const {
    throw std::invalid_argument("waveform file, line " + std::to_string(number_) + ": " + reason);
  }

 private:
  std::istream& in_;
  std::string line_;
  std::string_view rest_;
  std::size_t number_ = 0;
};

std::size_t read_degree(LineReader& lines) {
  const std::string_view text = lines.next() ? lines.field() : std::string_view();
  if (!text.starts_with(degree_prefix)) lines.refuse("expected '" + std::string(degree_prefix) + "' and a number");
  return lines.number<std::size_t>(text.substr(degree_prefix.size()));
}

std::vector<Channel> read_channels(LineReader& lines) {
  if (!lines.next() || lines.field() != time_heading) lines.refuse("expected a heading that starts with 'time [s]'");
  std::vector<Channel> channels;
  while (!lines.at_end_of_line()) {
    const std::string_view text = lines.field();
    const std::size_t bracket = text.rfind(" [");
    if (bracket == std::string_view::npos || !text.ends_with(']')) lines.refuse("a heading must read 'name [unit]'");
    const std::string_view unit = text.substr(bracket + 2, text.size() - bracket - 3);
    channels.push_back({std::string(text.substr(0, bracket)), std::string(unit)});
  }
  return channels;
}

}  // namespace

void write_csv(const Waveform& waveform, std::ostream& out) {
  out << degree_prefix << waveform.degree() << '\n' << time_heading;
  for (const Channel& channel : waveform.channels()) write_heading(channel, out);
  out << '\n';
  for (std::size_t node = 0; node < waveform.times().size(); ++node) {
    write_number(waveform.times()[node], out);
    for (std::size_t c = 0; c < waveform.channels().size(); ++c) {
      out << ',';
      write_number(waveform.values(c)[node], out);
    }
    out << '\n';
  }
}

void write_csv(const Waveform& waveform, const std::filesystem::path& path) {
  std::ofstream out(path);
  if (!out) throw std::runtime_error("cannot write the waveform file " + path.string());
  write_csv(waveform, out);
  if (!out.flush()) throw std::runtime_error("writing the waveform file " + path.string() + " failed");
}

Waveform read_csv(std::istream& in) {
  LineReader lines(in);
  const std::size_t degree = read_degree(lines);
  std::vector<Channel> channels = read_channels(lines);
  std::vector<double> times;
  std::vector<std::vector<double>> values(channels.size());
  while (lines.next()) {
    times.push_back(lines.number<double>(lines.field()));
    for (std::vector<double>& column : values) {
      if (lines.at_end_of_line()) lines.refuse("fewer numbers than headings");
      column.push_back(lines.number<double>(lines.field()));
    }
    if (!lines.at_end_of_line()) lines.refuse("more numbers than headings");
  }
  return Waveform::from_nodes(std::move(channels), degree, std::move(times), std::move(values));
}

Waveform read_csv(const std::filesystem::path& path) {
  std::ifstream in(path);
  if (!in) throw std::runtime_error("cannot read the waveform file " + path.string());
  return read_csv(in);
}

}  // namespace gateswing::waveform
