// rickyard_page_of: plan.json on standard input, report.html on standard output. For tests of the page alone.
#include <iostream>
#include <iterator>
#include <string>

#include "reports/page_embed.h"

int main() {
  const std::string plan{std::istreambuf_iterator<char>(std::cin), std::istreambuf_iterator<char>()};
  const std::string html = rickyard::report_html(plan);
  std::cout.write(html.data(), static_cast<std::streamsize>(html.size()));
  std::cout.flush();
  return std::cout ? 0 : 1;
}
