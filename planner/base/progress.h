#pragma once
// Where long work says how far it is. The default listens to nothing.
#include <string>
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

/// "about 40 s left", "about 3 min left", "about 2 h left": rounded as a guess deserves. Empty for less than two seconds.
std::string time_left_words(double seconds);

}  // namespace rickyard
