# Helpers for one target per room. A room links only what it may use; that is what keeps the arrows straight.

# Flags shared by every target. No contraction to fused multiply-add anywhere: same input, same bits.
function(rickyard_compile_options)
  add_library(rickyard_flags INTERFACE)
  target_compile_features(rickyard_flags INTERFACE cxx_std_20)
  target_include_directories(rickyard_flags INTERFACE ${CMAKE_SOURCE_DIR})
  target_compile_options(rickyard_flags INTERFACE -ffp-contract=off -fno-trapping-math
    -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wnon-virtual-dtor -Wold-style-cast -Woverloaded-virtual)
  # Silenced, for they come from g++ 12's optimiser and are false: overlapping copies in std::string (GCC bug 105651);
  # strings "maybe uninitialised" while a struct that holds them is moved (at -O3); and the file name that
  # fast-cpp-csv-parser cuts on purpose. clang's own checks of the last two stay on (tests/lint).
  target_compile_options(rickyard_flags INTERFACE
    $<$<CXX_COMPILER_ID:GNU>:-Wno-restrict;-Wno-maybe-uninitialized;-Wno-stringop-truncation>)
  if(RICKYARD_WERROR)
    target_compile_options(rickyard_flags INTERFACE -Werror)
  endif()
  if(RICKYARD_SANITIZE)
    target_compile_options(rickyard_flags INTERFACE -fsanitize=${RICKYARD_SANITIZE} -fno-omit-frame-pointer)
    target_link_options(rickyard_flags INTERFACE -fsanitize=${RICKYARD_SANITIZE})
    if(RICKYARD_SANITIZE MATCHES "thread")
      target_compile_definitions(rickyard_flags INTERFACE RICKYARD_PLAIN_THREADS)
    endif()
  endif()
endfunction()

# rickyard_room(NAME SOURCES ... HEADERS ... LINKS ... PRIVATE_LINKS ...)
# A static library whose headers are each compiled alone (target all_verify_interface_header_sets).
function(rickyard_room name)
  cmake_parse_arguments(ROOM "" "" "SOURCES;HEADERS;LINKS;PRIVATE_LINKS" ${ARGN})
  add_library(${name} STATIC ${ROOM_SOURCES})
  set_target_properties(${name} PROPERTIES VERIFY_INTERFACE_HEADER_SETS ON)
  target_sources(${name} PUBLIC FILE_SET HEADERS BASE_DIRS ${CMAKE_SOURCE_DIR} FILES ${ROOM_HEADERS})
  target_link_libraries(${name} PUBLIC rickyard_flags ${ROOM_LINKS} PRIVATE ${ROOM_PRIVATE_LINKS})
endfunction()

# rickyard_tests(NAME SOURCES ... LINKS ...): one doctest program, registered with CTest.
function(rickyard_tests name)
  cmake_parse_arguments(T "" "" "SOURCES;LINKS" ${ARGN})
  add_executable(${name} ${T_SOURCES} ${CMAKE_SOURCE_DIR}/tests/support/doctest_main.cpp)
  target_link_libraries(${name} PRIVATE rickyard_flags ${T_LINKS})
  target_compile_definitions(${name} PRIVATE RICKYARD_SOURCE_DIR="${CMAKE_SOURCE_DIR}" RICKYARD_BINARY_DIR="${CMAKE_BINARY_DIR}")
  add_test(NAME ${name} COMMAND ${name})
endfunction()
