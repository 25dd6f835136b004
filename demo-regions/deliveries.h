#pragma once
// What the regions delivered in past years: a truth of its own, simpler than and apart from any forecast model,
// with faults put in on purpose that a back-test should find.
#include <string>
#include <vector>

#include "demo-regions/weather_generator.h"

namespace rickyard::demo {

/// What a region's contract says and what is true there.
struct RegionTruth {
  const char* region;
  double contract_yield_t_ha, contract_n_pct;  // the figures in contracts.csv
  double yield_fault;                          // true yield = contract yield x (1 + fault)
  double n_fault_pct;                          // true mean N = contract N + fault
  double planted_ha;                           // in the latest year
};
/// Mirrowdale grows 6 % less than its contract says; Pennuld's grain holds 0.04 %N more.
extern const std::vector<RegionTruth> kRegionTruths;

inline constexpr double kFarmSigmaNPct = 0.15;  // between farms of one region and year
inline constexpr int kHistoryYears = 8;

struct Delivery {
  std::string region;
  int crop_year = 0;
  double planted_ha = 0, delivered_t = 0, qualifying_t = 0;  // tonnes at the moisture of the year
  double n_pct = 0;                                          // mean of what was accepted, as an intake book has it
  double screenings_pct = 0, moisture_pct = 0, limit_n_pct = 0;
  int sown_days_after_april1 = 0;
};

/// Weather as crops feel it, gathered year by year for the deliveries.
class FieldBook {
 public:
  struct Cell {
    std::string region;     // empty: no region
    double water_mm = 120;  // plant-available water of the root zone
  };
  explicit FieldBook(std::vector<Cell> cells);
  void take(const YearOfWeather& year);
  /// The last kHistoryYears years taken, in order of `truths` then year.
  std::vector<Delivery> deliveries(unsigned seed, const std::vector<RegionTruth>& truths = kRegionTruths) const;

  /// Mean over a region's cells of one year.
  struct CropYear {
    int year = 0;
    double stress = 0;       // share of the crop's water demand not met, 1 April to 31 July
    double soaked_days = 0;  // days of April to June with the soil over full
    double warmth_c = 0;     // mean temperature, April to July
    double harvest_rain_days = 0, march_rain_days = 0;
  };
  std::vector<CropYear> crop_years(const std::string& region) const;

 private:
  std::vector<Cell> cells_;
  std::vector<double> deficit_mm_;            // [cell], carried from year to year
  std::vector<std::vector<CropYear>> years_;  // [year][cell]
};

void write_history(const std::vector<Delivery>& deliveries, const std::string& path);

}  // namespace rickyard::demo
