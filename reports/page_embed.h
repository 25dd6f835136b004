#pragma once
// The page around one plan document: report.html, one file that opens offline.
#include <string>
#include <string_view>

namespace rickyard {

/// The whole report.html for one plan document. plan_json: the text of plan.json, UTF-8. It is carried as inert data
/// ('<' written as \u003c, so that no text in it can end its element), never run and never checked here: a text that is not a plan
/// document gives a page that says so in words. The file asks for nothing over the network, and its own policy forbids it.
std::string report_html(std::string_view plan_json);

/// plan_json as it stands inside the page's data element: every '<' as \u003c, and bytes that are not UTF-8 as U+FFFD. The same JSON values
/// otherwise.
std::string as_script_data(std::string_view plan_json);

/// The page before and after the plan document. Made from reports/page when the program is built.
std::string_view page_before_plan();
std::string_view page_after_plan();

}  // namespace rickyard
