#pragma once
// A session's past seasons: reads what a hindcast needs and makes it; for the commands hindcast and plan --backtest.
#include <stop_token>
#include <string>
#include <vector>

#include "planner/app/session.h"
#include "planner/hindcast/make_hindcast.h"

namespace rickyard {

struct PastSeasons {
  Hindcast hindcast;
  std::vector<std::string> warnings;  // of regions and rasters
};

/// Throws InputError, Interrupted.
PastSeasons past_seasons(Session& session, const HindcastRequest& request, Progress& progress, const std::stop_token& stop);

/// The date of the plan, as a day of a season: as_of, within the season of the crop year.
HindcastDate date_of_plan(const Season& season);

}  // namespace rickyard
