// The draws against the published Philox vectors, blocks against order.
#include <doctest/doctest.h>

#include <Random123/philox.h>

#include <stdexcept>
#include <vector>

#include "planner/base/blocks.h"
#include "planner/base/draws.h"

using namespace rickyard;

TEST_CASE("Philox4x32-10 known answers (Random123 1.14 kat_vectors)") {
  // philox4x32 10, counter and key all zero -> 6627e8d5 e169c58d bc57ac4c 9b00dbd8
  const r123::Philox4x32 philox;
  const auto zero = philox({{0, 0, 0, 0}}, {{0, 0}});
  CHECK(zero[0] == 0x6627e8d5u);
  CHECK(zero[1] == 0xe169c58du);
  CHECK(zero[2] == 0xbc57ac4cu);
  CHECK(zero[3] == 0x9b00dbd8u);
}

TEST_CASE("The layout of key and counter is the one METHODS.md states") {
  const auto word = [](double u) { return static_cast<std::uint32_t>(u * 4294967296.0); };
  CHECK(word(uniform_draw(7, DrawPurpose::residual, {2003, 5, 2, 1})) == 0x73bf38adu);
  CHECK(word(uniform_draw(2027, DrawPurpose::demand, {1996, 199, 0, 0})) == 0x3e7e3eddu);
}

TEST_CASE("A draw depends on its counter alone and lies inside (0, 1)") {
  const double first = uniform_draw(7, DrawPurpose::residual, {3, 5, 2, 1});
  CHECK(first == uniform_draw(7, DrawPurpose::residual, {3, 5, 2, 1}));
  CHECK(first != uniform_draw(7, DrawPurpose::demand, {3, 5, 2, 1}));
  CHECK(first != uniform_draw(8, DrawPurpose::residual, {3, 5, 2, 1}));
  double sum = 0;
  for (unsigned i = 0; i < 10000; ++i) {
    const double u = uniform_draw(1, DrawPurpose::residual, {0, i, 0, 0});
    CHECK((u > 0 && u < 1));
    sum += u;
  }
  CHECK(sum / 10000 == doctest::Approx(0.5).epsilon(0.02));
}

TEST_CASE("Blocks run once each, and the first failure comes out") {
  for (int threads : {1, 2, 4}) {
    std::vector<int> ran(100, 0);
    for_each_block(100, threads, [&](int block) { ++ran[static_cast<std::size_t>(block)]; });
    for (int count : ran) CHECK(count == 1);
    CHECK_THROWS_WITH_AS(for_each_block(10, threads,
                                        [](int block) {
                                          if (block >= 4) throw std::runtime_error("block " + std::to_string(block));
                                        }),
                         "block 4", std::runtime_error);
  }
}
