#pragma once
// The hindcast document as tables for CSV files. Every cell is a field of the document, unchanged.
#include <vector>

#include "planner/base/table.h"
#include "planner/document/hindcast_document.h"

namespace rickyard {

/// hindcast (season, date and region; all regions together as "(all)"), hindcast_scores (date, region and quantity), hindcast_ranks (the
/// rank histograms of those), hindcast_growers (grower, season and date), hindcast_grower_scores; README.md lists their columns.
std::vector<Table> hindcast_tables(const HindcastDocument& document);

/// Region as a table and a text name it.
std::string hindcast_region(const std::string& region);

}  // namespace rickyard
