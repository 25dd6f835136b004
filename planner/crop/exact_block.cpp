// The scalar kernel: one field after the other, day by day, as METHODS.md says it.
#include "planner/crop/field_block.h"

namespace rickyard {

void grow_block_exactly(const CropWork& work, std::size_t block, const std::vector<CropSink>& sinks) {
  FieldBlock fields(work, block);
  fields.each_season([&](std::size_t year) {
    const auto& window = work.windows[year];
    for (std::size_t run = 0; run < work.runs.size(); ++run) {
      const FieldPlan plan = work.plan(work.runs[run], window.harvest_year);
      for (std::size_t lane = 0; lane < fields.lanes(); ++lane) {
        const FieldSeason field = fields.grown(window, plan, lane, window.days - 1);
        const auto at = CropRecords::place_of(work.units.size(), work.windows.size(), year, fields.place(lane));
        sinks[run].records[at] = field.finish(work.settings);
        if (sinks[run].balances) sinks[run].balances[at] = field.balance();
      }
    }
  });
}

}  // namespace rickyard
