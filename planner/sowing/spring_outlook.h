#pragma once
// When the land of a place can be worked, over past springs.
#include "planner/crop/spring_work.h"
#include "planner/sowing/sowing_places.h"

namespace rickyard {

/// Season days that spring work is watched on: to the last day of the season's tenth month (30 June from 1 September).
int spring_days(const Season& season);
/// The last day of the season's eighth month in the season of a harvest year: 30 April from 1 September, 31 October from 1 March.
int count_to_day(const Season& season, int harvest_year);

/// work: of the place's units. weights: of work.harvest_years.
SpringOutlook spring_outlook(const Season& season, const SowingPlace& place, const SpringWork& work, const std::vector<double>& weights);

/// Workable days from one date of the crop year to another, both included, hectare-weighted, over the years.
Range workable_days(const Season& season, const SowingPlace& place, const SpringWork& work, const std::vector<double>& weights,
                    const Date& from, const Date& to);

}  // namespace rickyard
