#pragma once
// One block of land units through one season after the other with the fast kernel.
#include "planner/crop/crop_work.h"
#include "planner/crop/lane_kernel.h"

namespace rickyard {

/// The fast kernel: fills the records of one block.
void grow_block(const CropWork& work, const CanopyTable& table, std::size_t block, CropRecords& out);

}  // namespace rickyard
