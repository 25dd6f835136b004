// Words for the time that long work still takes.
#include <doctest/doctest.h>

#include "planner/base/progress.h"

using rickyard::time_left_words;

TEST_CASE("Time left in words: seconds, tens of seconds, minutes, hours; nothing where it is over anyway") {
  CHECK(time_left_words(0) == "");
  CHECK(time_left_words(1.9) == "");
  CHECK(time_left_words(4.4) == "about 4 s left");
  CHECK(time_left_words(44) == "about 40 s left");
  CHECK(time_left_words(94) == "about 90 s left");
  CHECK(time_left_words(96) == "about 2 min left");
  CHECK(time_left_words(1000) == "about 17 min left");
  CHECK(time_left_words(2.6 * 3600) == "about 3 h left");
  CHECK(time_left_words(-1) == "");
}
