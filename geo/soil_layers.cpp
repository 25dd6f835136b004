// Pixels of a raster against the cells of the weather grid.
#include <algorithm>
#include <cmath>
#include <limits>

#include "geo/crs.h"
#include "geo/soil.h"

namespace rickyard {
namespace {

constexpr int kStrip = 256;           // rows read at once
constexpr double kMostPixels = 2e10;  // over the land; more would run for hours

// Which kept cell holds a point of the weather grid's system.
class CellFinder {
 public:
  CellFinder(const GridDefinition& grid, const CellList& cells) : grid_(grid), window_(window_of(cells, grid)) {
    position_.assign(static_cast<std::size_t>(window_.rows) * static_cast<std::size_t>(window_.columns), -1);
    for (std::size_t i = 0; i < cells.size(); ++i) position_[slot(cells[i] / grid.columns, cells[i] % grid.columns)] = static_cast<int>(i);
  }

  const Window& window() const { return window_; }

  int find(Point p) const {
    if (grid_.geographic) {  // one turn east or west where the grid counts longitudes the other way
      if (p.x < grid_.west) p.x += 360;
      if (p.x >= grid_.x_of(grid_.columns)) p.x -= 360;
    }
    const double column = std::floor((p.x - grid_.west) / grid_.cell_width), row = std::floor((grid_.north - p.y) / grid_.cell_height);
    if (!(row >= window_.row && row < window_.row + window_.rows && column >= window_.column && column < window_.column + window_.columns))
      return -1;
    return position_[slot(static_cast<int>(row), static_cast<int>(column))];
  }

 private:
  std::size_t slot(int row, int column) const {
    return static_cast<std::size_t>(row - window_.row) * static_cast<std::size_t>(window_.columns) +
           static_cast<std::size_t>(column - window_.column);
  }
  const GridDefinition& grid_;
  Window window_;
  std::vector<int> position_;
};

// The pixels (maybe beyond the raster) that may have their centre in a kept cell.
Window pixel_window(const GridDefinition& pixels, const GridDefinition& grid, const Window& cells, const Transform& to_pixels) {
  Point low{HUGE_VAL, HUGE_VAL}, high{-HUGE_VAL, -HUGE_VAL};
  // The outline of the cells, densely: the image of a rectangle is bounded by the image of its outline.
  constexpr int kSteps = 64;
  for (int k = 0; k <= kSteps; ++k) {
    const double along = static_cast<double>(k) / kSteps;
    const double west = grid.x_of(cells.column), east = grid.x_of(cells.column + cells.columns), north = grid.y_of(cells.row),
                 south = grid.y_of(cells.row + cells.rows);
    for (const Point p : {Point{west + along * (east - west), north}, Point{west + along * (east - west), south},
                          Point{west, south + along * (north - south)}, Point{east, south + along * (north - south)}}) {
      Point q = to_pixels(p);
      if (!std::isfinite(q.x)) continue;
      if (pixels.geographic && q.x < pixels.west) q.x += 360;
      if (pixels.geographic && q.x >= pixels.x_of(pixels.columns) && q.x - 360 >= pixels.west) q.x -= 360;
      low = {std::min(low.x, q.x), std::min(low.y, q.y)};
      high = {std::max(high.x, q.x), std::max(high.y, q.y)};
    }
  }
  if (!(low.x <= high.x)) return {};
  const auto index = [](double v) { return static_cast<int>(std::clamp(v, -1e8, 1e8)); };
  const int margin = 2;
  const int column = index(std::floor((low.x - pixels.west) / pixels.cell_width)) - margin,
            row = index(std::floor((pixels.north - high.y) / pixels.cell_height)) - margin;
  return {row, index(std::ceil((pixels.north - low.y) / pixels.cell_height)) + margin - row, column,
          index(std::ceil((high.x - pixels.west) / pixels.cell_width)) + margin - column};
}

// Part of a window inside the raster; rows or columns 0 where there is none.
Window clipped(const Window& w, const GridDefinition& pixels) {
  const int row = std::max(0, w.row), column = std::max(0, w.column);
  return {row, std::max(0, std::min(pixels.rows, w.row + w.rows) - row), column,
          std::max(0, std::min(pixels.columns, w.column + w.columns) - column)};
}

// Values of all layers in a window: [pixel of the window][layer].
std::vector<double> read_window(const std::vector<const RasterStack*>& layers, const Window& window) {
  const auto pixels = static_cast<std::size_t>(window.rows) * static_cast<std::size_t>(window.columns);
  std::vector<double> values(pixels * layers.size(), std::numeric_limits<double>::quiet_NaN());
  if (pixels == 0) return values;
  for (std::size_t layer = 0; layer < layers.size(); ++layer)
    layers[layer]->read(window, [&](const Tile& tile) {
      const int first_row = std::max(tile.row, window.row), last_row = std::min(tile.row + tile.rows, window.row + window.rows);
      const int first = std::max(tile.column, window.column), last = std::min(tile.column + tile.columns, window.column + window.columns);
      for (int r = first_row; r < last_row; ++r)
        for (int c = first; c < last; ++c)
          values[(static_cast<std::size_t>(r - window.row) * static_cast<std::size_t>(window.columns) +
                  static_cast<std::size_t>(c - window.column)) *
                     layers.size() +
                 layer] = tile.values[static_cast<std::size_t>(r - tile.row) * static_cast<std::size_t>(tile.columns) +
                                      static_cast<std::size_t>(c - tile.column)];
    });
  return values;
}

// Cells without any pixel centre take the pixel at their own centre: rasters coarser than the weather.
void take_centres(const std::vector<const RasterStack*>& layers, const GridDefinition& grid, const CellList& cells,
                  const std::vector<char>& seen, const Transform& to_pixels, const std::function<void(const Pixel&)>& take) {
  const GridDefinition& pixels = layers.front()->grid();
  std::vector<Pixel> wanted;
  Window box{pixels.rows, 0, pixels.columns, 0};
  int last_row = -1, last_column = -1;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (seen[i] != 0) continue;
    Point p = to_pixels({grid.x_of(cells[i] % grid.columns + 0.5), grid.y_of(cells[i] / grid.columns + 0.5)});
    if (pixels.geographic && p.x < pixels.west) p.x += 360;
    if (pixels.geographic && p.x >= pixels.x_of(pixels.columns)) p.x -= 360;
    const double column = std::floor((p.x - pixels.west) / pixels.cell_width), row = std::floor((pixels.north - p.y) / pixels.cell_height);
    if (!(row >= 0 && row < pixels.rows && column >= 0 && column < pixels.columns)) continue;
    wanted.push_back({static_cast<int>(i), static_cast<int>(row), static_cast<int>(column), nullptr});
    box.row = std::min(box.row, wanted.back().row);
    box.column = std::min(box.column, wanted.back().column);
    last_row = std::max(last_row, wanted.back().row);
    last_column = std::max(last_column, wanted.back().column);
  }
  if (wanted.empty()) return;
  box.rows = last_row - box.row + 1;
  box.columns = last_column - box.column + 1;
  const auto values = read_window(layers, box);
  for (Pixel pixel : wanted) {
    pixel.values = values.data() + (static_cast<std::size_t>(pixel.row - box.row) * static_cast<std::size_t>(box.columns) +
                                    static_cast<std::size_t>(pixel.column - box.column)) *
                                       layers.size();
    take(pixel);
  }
}

}  // namespace

void each_pixel(const std::vector<const RasterStack*>& layers, const GridDefinition& grid, const CellList& cells, Progress& progress,
                const std::function<void(const Pixel&)>& take) {
  if (cells.empty()) return;
  const GridDefinition& pixels = layers.front()->grid();
  const CellFinder finder(grid, cells);
  const Window& held = finder.window();
  const Transform to_pixels(
      grid.crs_wkt, pixels.crs_wkt,
      Box{grid.x_of(held.column), grid.y_of(held.row + held.rows), grid.x_of(held.column + held.columns), grid.y_of(held.row)});
  const Transform to_grid = to_pixels.reversed();
  const Window window = pixel_window(pixels, grid, finder.window(), to_pixels);
  std::vector<char> seen(cells.size(), 0);
  const std::vector<double> nothing(layers.size(), std::numeric_limits<double>::quiet_NaN());
  if (static_cast<double>(window.rows) * window.columns > kMostPixels)
    InputLog::fail(layers.front()->shown(), "", "its pixels are too small for the land they must cover",
                   "resample it to pixels of 10 m or more");
  std::vector<Point> centres(static_cast<std::size_t>(std::max(0, window.columns)));
  for (int top = window.row; top < window.row + window.rows; top += kStrip) {
    const Window strip{top, std::min(kStrip, window.row + window.rows - top), window.column, window.columns};
    const Window inside = clipped(strip, pixels);
    const auto values = read_window(layers, inside);
    for (int row = strip.row; row < strip.row + strip.rows; ++row) {
      for (int c = 0; c < strip.columns; ++c)
        centres[static_cast<std::size_t>(c)] = {pixels.x_of(strip.column + c + 0.5), pixels.y_of(row + 0.5)};
      to_grid.apply(centres);
      for (int c = 0; c < strip.columns; ++c) {
        const int cell = finder.find(centres[static_cast<std::size_t>(c)]);
        if (cell < 0) continue;
        seen[static_cast<std::size_t>(cell)] = 1;
        const int column = strip.column + c;
        const bool in =
            row >= inside.row && row < inside.row + inside.rows && column >= inside.column && column < inside.column + inside.columns;
        const double* at = in ? values.data() + (static_cast<std::size_t>(row - inside.row) * static_cast<std::size_t>(inside.columns) +
                                                 static_cast<std::size_t>(column - inside.column)) *
                                                    layers.size()
                              : nothing.data();
        take({cell, row, column, at});
      }
    }
    progress.step(top - window.row + strip.rows, window.rows);
  }
  take_centres(layers, grid, cells, seen, to_pixels, take);
}

}  // namespace rickyard
