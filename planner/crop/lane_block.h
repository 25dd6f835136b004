#pragma once
// One block of land units through one season after the other with the fast kernel.
#include "planner/crop/crop_work.h"
#include "planner/crop/lane_kernel.h"

namespace rickyard {

/// The fast kernel on one block of units; sinks as in grow_block_exactly, balances are not filled.
void grow_block(const CropWork& work, const CanopyTable& table, std::size_t block, const std::vector<CropSink>& sinks);

}  // namespace rickyard
