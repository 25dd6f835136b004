#pragma once
// Crop orders as bytes, for other processes.
#include <cstdint>
#include <vector>

#include "planner/crop/crop_crew.h"

namespace rickyard {

std::vector<std::uint8_t> order_bytes(const CropOrder& order);
/// Throws nlohmann::json::exception where the bytes are not an order.
CropOrder order_of(const std::vector<std::uint8_t>& bytes);

}  // namespace rickyard
