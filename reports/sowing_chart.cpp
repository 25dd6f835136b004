#include "reports/sowing_chart.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "reports/sowing_words.h"

namespace rickyard {
namespace {

constexpr double kWidth = 720, kHeight = 260, kLeft = 36, kRight = 28, kTop = 26, kAxis = 186, kStripTop = 210, kStripHeight = 32;

// Where dates and t/ha lie on the drawing.
class Frame {
 public:
  explicit Frame(const SowingAdvice& place) : first_(place.dates.front().date) {
    days_ = std::max(static_cast<double>((place.dates.back().date - first_).days()), 1.0);
    double high = 0, low = 1e9;
    for (const auto& date : place.dates) {
      for (double t : date.wait.qualifying_t_ha_by_year) {
        high = std::max(high, t);
        low = std::min(low, t);
      }
      high = std::max(high, date.at_once.qualifying_t_ha.mean);
      low = std::min(low, date.at_once.qualifying_t_ha.mean);
    }
    step_ = high - low > 4 ? 2 : high - low > 1.6 ? 1 : 0.5;
    low_ = step_ * std::floor(low / step_);
    high_ = std::max(step_ * std::ceil(high / step_), low_ + step_);
  }
  double x(const Date& date) const { return kLeft + (kWidth - kLeft - kRight) * static_cast<double>((date - first_).days()) / days_; }
  double y(double t_ha) const { return kAxis - (kAxis - kTop) * (t_ha - low_) / (high_ - low_); }
  double low() const { return low_; }
  double high() const { return high_; }
  double step() const { return step_; }

 private:
  Date first_;
  double days_, low_ = 0, high_ = 1, step_ = 1;
};

template <class Value>
std::string path_of(const Frame& frame, const std::vector<SowingDate>& dates, Value value) {
  std::string d;
  for (const auto& date : dates) d += fmt::format("{}{:.1f} {:.1f}", d.empty() ? "M" : "L", frame.x(date.date), frame.y(value(date)));
  return d;
}

std::string axes(const Frame& frame, const SowingAdvice& place) {
  std::string svg;
  for (double t = frame.low(); t <= frame.high() + 1e-9; t += frame.step())
    svg += fmt::format(
        "<line class=\"grid\" x1=\"{0}\" x2=\"{1}\" y1=\"{2:.1f}\" y2=\"{2:.1f}\"/><text class=\"soft\" x=\"{3}\" y=\"{4:.1f}\" "
        "text-anchor=\"end\">{5:g}</text>",
        kLeft, kWidth - kRight, frame.y(t), kLeft - 8, frame.y(t) + 4, t);
  svg += fmt::format("<text class=\"soft\" x=\"0\" y=\"14\">t/ha that qualify</text>");
  double last_x = -100;
  for (const auto& date : place.dates) {
    const double x = frame.x(date.date);
    if (x - last_x < 46) continue;
    last_x = x;
    svg += fmt::format(
        "<line class=\"tick\" x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1}\" y2=\"{2}\"/><text class=\"soft\" x=\"{0:.1f}\" y=\"{3}\" "
        "text-anchor=\"middle\">{4}</text>",
        x, kAxis, kAxis + 5, kAxis + 18, html_text(day_words(date.date)));
  }
  return svg;
}

std::string band(const Frame& frame, const std::vector<SowingDate>& dates) {
  std::string d = path_of(frame, dates, [](const SowingDate& date) { return date.wait.qualifying_t_ha.p90; });
  for (auto date = dates.rbegin(); date != dates.rend(); ++date)
    d += fmt::format("L{:.1f} {:.1f}", frame.x(date->date), frame.y(date->wait.qualifying_t_ha.p10));
  return "<path class=\"band\" d=\"" + d + "Z\"/>";
}

std::string years(const Frame& frame, const SowingAdvice& place) {
  std::string svg;
  for (std::size_t y = 0; y < place.years.size(); ++y)
    svg += fmt::format("<path class=\"year\" d=\"{}\"><title>{}</title></path>",
                       path_of(frame, place.dates, [y](const SowingDate& date) { return date.wait.qualifying_t_ha_by_year[y]; }),
                       place.years[y]);
  return svg;
}

std::string mark(const Frame& frame, const Date& date, const char* words, bool left, double y) {
  const double x = frame.x(date);
  const bool inside = left ? x > 90 : x < kWidth - 90;
  const bool to_left = left == inside;
  return fmt::format(
      "<line class=\"mark\" x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1}\" y2=\"{2}\"/><text x=\"{3:.1f}\" y=\"{4}\" "
      "text-anchor=\"{5}\">{6}</text>",
      x, kTop - 10, kAxis, to_left ? x - 5 : x + 5, y, to_left ? "end" : "start", words);
}

// Workable days from each date to the next, on average, as bars under the axis.
std::string strip(const Frame& frame, const SowingAdvice& place) {
  std::string svg;
  for (std::size_t d = 0; d + 1 < place.dates.size(); ++d) {
    const auto& date = place.dates[d];
    if (!date.workable_days_to_next) continue;
    const double days = static_cast<double>((place.dates[d + 1].date - date.date).days());
    const double height = kStripHeight * *date.workable_days_to_next / days;
    const double x = frame.x(date.date), width = frame.x(place.dates[d + 1].date) - x;
    svg += fmt::format("<rect class=\"work\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\"/>", x + 1,
                       kStripTop + kStripHeight - height, std::max(width - 2, 1.0), height);
    svg += fmt::format("<text class=\"soft\" x=\"{:.1f}\" y=\"{}\" text-anchor=\"middle\">{:.1f}</text>", x + width / 2,
                       kStripTop + kStripHeight + 14, *date.workable_days_to_next);
  }
  if (svg.empty()) return svg;
  return svg + fmt::format("<line class=\"tick\" x1=\"{0}\" x2=\"{1}\" y1=\"{2}\" y2=\"{2}\"/>", kLeft, kWidth - kRight,
                           kStripTop + kStripHeight);
}

}  // namespace

std::string sowing_chart(const SowingAdvice& place) {
  if (place.dates.empty()) return "";
  const Frame frame(place);
  const bool daily = place.spring.has_value();
  std::string svg = fmt::format(
      "<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"Qualifying tonnes per hectare by sowing date; the table below holds the "
      "figures\">",
      kWidth, daily ? kHeight : kAxis + 24);
  svg += daily ? band(frame, place.dates) : "";
  svg += axes(frame, place);
  if (daily) svg += years(frame, place);
  svg += fmt::format("<path class=\"once\" d=\"{}\"/>",
                     path_of(frame, place.dates, [](const SowingDate& date) { return date.at_once.qualifying_t_ha.mean; }));
  svg += fmt::format("<path class=\"mean\" d=\"{}\"/>",
                     path_of(frame, place.dates, [](const SowingDate& date) { return date.wait.qualifying_t_ha.mean; }));
  svg += mark(frame, place.sow_planned, "planned", true, kTop - 2);
  if (place.last_sensible && !place.last_sensible->beyond) svg += mark(frame, place.last_sensible->date, "last sensible", false, kTop - 2);
  return svg + strip(frame, place) + "</svg>";
}

}  // namespace rickyard
