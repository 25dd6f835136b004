#pragma once
// Where long work says how far it is. The default listens to nothing.
#include <string_view>

namespace rickyard {

class Progress {
 public:
  virtual ~Progress() = default;
  /// A stage begins, e.g. "reading weather".
  virtual void stage(std::string_view /*name*/) {}
  /// done of total steps of the stage; may be called from any thread.
  virtual void step(long long /*done*/, long long /*total*/) {}
};

}  // namespace rickyard
