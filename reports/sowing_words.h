#pragma once
// Dates and sentences that the sowing text and the sheet share.
#include <optional>
#include <string>
#include <string_view>

#include "planner/document/sowing_document.h"

namespace rickyard {

/// "22 Mar"; "none" where there is no date.
std::string day_words(const std::optional<Date>& date);
/// Letters (UTF-8 code points) of a text.
std::size_t letters(std::string_view text);
/// At most `most` letters, the last one "…" where some are left out.
std::string shortened(const std::string& text, std::size_t most);
/// Text as it may stand in HTML, without control characters.
std::string html_text(std::string_view text);

/// The answer of a place: when the soil was fit, and what a week of waiting costs. Plain text.
std::string spring_sentence(const SowingAdvice& place);
std::string waiting_sentence(const SowingAdvice& place);
std::string last_sentence(const SowingAdvice& place);

}  // namespace rickyard
