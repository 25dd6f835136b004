#pragma once
// The words that tables and season.toml use for choices.
#include <array>
#include <optional>
#include <span>
#include <string_view>
#include <utility>

#include "planner/season/season.h"

namespace rickyard {

template <class Enum>
struct Word {
  Enum value;
  std::string_view text;
};

template <class Enum>
std::span<const Word<Enum>> words_of();

template <>
std::span<const Word<ContractForm>> words_of();
template <>
std::span<const Word<YieldBasis>> words_of();
template <>
std::span<const Word<NitrogenBasis>> words_of();
template <>
std::span<const Word<PriceForm>> words_of();
template <>
std::span<const Word<RejectRule>> words_of();
template <>
std::span<const Word<Held>> words_of();
template <>
std::span<const Word<BackupKind>> words_of();
template <>
std::span<const Word<MinimumTake>> words_of();
template <>
std::span<const Word<LimitPolicy>> words_of();
template <>
std::span<const Word<ForecastModel>> words_of();
template <>
std::span<const Word<SeasonStart>> words_of();
template <>
std::span<const Word<NeedUnit>> words_of();

template <class Enum>
std::string_view word_of(Enum value) {
  for (const auto& word : words_of<Enum>())
    if (word.value == value) return word.text;
  return {};
}

/// The value of a word, exactly as spelled; nullopt for any other text.
template <class Enum>
std::optional<Enum> value_of_word(std::string_view text) {
  for (const auto& word : words_of<Enum>())
    if (word.text == text) return word.value;
  return std::nullopt;
}

/// jan, feb, .. dec.
inline constexpr std::array<std::string_view, 12> kMonthWords = {"jan", "feb", "mar", "apr", "may", "jun",
                                                                 "jul", "aug", "sep", "oct", "nov", "dec"};

/// The known name nearest to `text` by edit distance (case ignored), or empty where none is near:
/// at most a third of the letters may differ, and at least two may.
std::string_view nearest_name(std::string_view text, std::span<const std::string_view> known);

}  // namespace rickyard
