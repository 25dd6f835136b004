#include "geo/regions.h"

#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <cmath>
#include <map>

#include "geo/gdal_words.h"
#include "geo/ogr_shapes.h"

namespace rickyard {
namespace {

std::string field_names(const OGRFeatureDefn& definition) {
  std::string names;
  for (int i = 0; i < definition.GetFieldCount(); ++i)
    names += (names.empty() ? "" : ", ") + std::string(definition.GetFieldDefn(i)->GetNameRef());
  return names.empty() ? "no fields" : names;
}

bool finite(const Ring& ring) {
  for (const auto& p : ring)
    if (!std::isfinite(p.x) || !std::isfinite(p.y)) return false;
  return true;
}

bool finite(const MultiPolygon& shape) {
  for (const auto& polygon : shape) {
    if (!finite(polygon.outer)) return false;
    for (const auto& hole : polygon.holes)
      if (!finite(hole)) return false;
  }
  return true;
}

// One reading of a layer.
class LayerReader {
 public:
  LayerReader(const RegionSource& source, InputLog& log) : source_(source), log_(log) {}
  RegionLayer read();

 private:
  OGRLayer& find_layer();
  void settle_crs(OGRLayer& layer);
  int field(const OGRFeatureDefn& definition, const std::string& name, const char* key) const;
  void take(const OGRFeature& feature, int id_field, int name_field);
  std::optional<MultiPolygon> valid_shape(const OGRFeature& feature, const std::string& place) const;

  const RegionSource& source_;
  InputLog& log_;
  std::unique_ptr<GDALDataset> dataset_;
  RegionLayer out_;
  std::map<std::string, long long> seen_;  // id, feature
};

OGRLayer& LayerReader::find_layer() {
  const auto path = log_.locate(source_.path);
  std::error_code error;
  if (source_.path.empty())
    InputLog::fail("season.toml (regions.path)", "", "no file of regions is named", "name one: path = \"regions.gpkg\" in [regions]");
  if (!std::filesystem::exists(path, error))
    InputLog::fail(source_.path, "", "there is no such file", "check the path; it is taken from the folder of season.toml");
  const GdalWords words;
  dataset_.reset(GDALDataset::Open(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR));
  if (!dataset_)
    InputLog::fail(source_.path, "", "cannot be opened as a vector file; " + log_.quote(words.text()),
                   "give a GeoPackage, GeoJSON or Shapefile");
  char** files = dataset_->GetFileList();
  for (char** file = files; file != nullptr && *file != nullptr; ++file) log_.file(*file);
  CSLDestroy(files);
  if (dataset_->GetDriver() != nullptr && std::string(dataset_->GetDriver()->GetDescription()) == "OGR_VRT") log_.draws_on_others();
  std::string names;
  for (int i = 0; i < dataset_->GetLayerCount(); ++i) names += (i == 0 ? "" : ", ") + std::string(dataset_->GetLayer(i)->GetName());
  if (dataset_->GetLayerCount() == 0) InputLog::fail(source_.path, "", "the file has no layer", "give a file with polygons");
  if (source_.layer.empty() && dataset_->GetLayerCount() > 1)
    InputLog::fail(source_.path, "", "the file has several layers: " + names, "name one by layer = \"...\" in [regions]");
  OGRLayer* layer = source_.layer.empty() ? dataset_->GetLayer(0) : dataset_->GetLayerByName(source_.layer.c_str());
  if (layer == nullptr) InputLog::fail(source_.path, source_.layer, "there is no such layer; the file has: " + names, "name one of these");
  return *layer;
}

void LayerReader::settle_crs(OGRLayer& layer) {
  out_.crs_wkt = wkt_of(layer.GetSpatialRef());
  std::optional<std::string> stated;
  if (!source_.crs.empty()) {
    stated = crs_from_text(source_.crs);
    if (!stated)
      InputLog::fail("season.toml (regions.crs)", source_.crs, "is not a known reference system", "write for instance \"EPSG:4326\"");
  }
  if (out_.crs_wkt.empty()) {
    if (!stated)
      InputLog::fail(source_.path, "", "the layer has no coordinate reference system",
                     "state it in [regions] of season.toml, for instance crs = \"EPSG:4326\"");
    out_.crs_wkt = *stated;
    log_.declared("regions.crs", source_.crs);
  } else if (stated && !same_crs(out_.crs_wkt, *stated)) {
    InputLog::fail(source_.path, crs_name(out_.crs_wkt),
                   "the layer's reference system contradicts crs = \"" + source_.crs + "\" in [regions]",
                   "leave out crs in season.toml, or correct the file");
  }
  if (!crs_kind(out_.crs_wkt).usable)
    InputLog::fail(source_.path, crs_name(out_.crs_wkt), "the reference system is neither geographic nor projected",
                   "give regions that lie on the earth");
}

int LayerReader::field(const OGRFeatureDefn& definition, const std::string& name, const char* key) const {
  const int index = definition.GetFieldIndex(name.c_str());
  if (index < 0)
    InputLog::fail(source_.path, name, "there is no such field; the layer has: " + field_names(definition),
                   std::string("name the field that holds region ") + key + "s by " + key + " = \"...\" in [regions]");
  return index;
}

std::optional<MultiPolygon> LayerReader::valid_shape(const OGRFeature& feature, const std::string& place) const {
  const OGRGeometry* geometry = feature.GetGeometryRef();
  if (geometry == nullptr || geometry->IsEmpty() != 0) {
    log_.error(place, "", "the region has no geometry", "draw its outline, or take the feature out");
    return std::nullopt;
  }
  MultiPolygon shape = polygons_of(*geometry);
  if (shape.empty()) {
    log_.error(place, geometry->getGeometryName(), "the region is not a polygon", "give polygons or multipolygons");
    return std::nullopt;
  }
  if (!finite(shape)) {
    log_.error(place, "", "the outline holds a coordinate that is not a number", "redraw the outline");
    return std::nullopt;
  }
  const OgrGeometryPtr plain = to_ogr(shape);
  const GdalWords words;
  if (plain->IsValid() != 0) return shape;
  const OgrGeometryPtr repaired(plain->MakeValid());
  MultiPolygon mended = repaired ? polygons_of(*repaired) : MultiPolygon{};
  if (mended.empty()) {
    log_.error(place, "", "the outline crosses or touches itself and cannot be repaired; " + log_.quote(words.text()),
               "redraw the outline");
    return std::nullopt;
  }
  log_.warning(place, "", "the outline crosses or touches itself and was repaired; " + log_.quote(words.text()), "check it on the map");
  return mended;
}

void LayerReader::take(const OGRFeature& feature, int id_field, int name_field) {
  std::string place = fmt::format("{}: feature {}", source_.path, static_cast<long long>(feature.GetFID()));
  const std::string id = feature.IsFieldSetAndNotNull(id_field) != 0 ? feature.GetFieldAsString(id_field) : "";
  if (id.empty()) return log_.error(place, "", "the region has no id in field \"" + source_.id + "\"", "give every region an id");
  place += " (" + id + ")";
  const auto [first, fresh] = seen_.emplace(id, static_cast<long long>(feature.GetFID()));
  if (!fresh)
    return log_.error(place, id, fmt::format("the id is taken by feature {}", first->second), "give every region an id of its own");
  auto shape = valid_shape(feature, place);
  if (!shape) return;
  const std::string name = name_field >= 0 && feature.IsFieldSetAndNotNull(name_field) != 0 ? feature.GetFieldAsString(name_field) : "";
  out_.regions.push_back({id, name.empty() ? id : name, std::move(*shape)});
}

RegionLayer LayerReader::read() {
  out_.shown = source_.path;
  OGRLayer& layer = find_layer();
  settle_crs(layer);
  const OGRFeatureDefn& definition = *layer.GetLayerDefn();
  const int id_field = field(definition, source_.id, "id");
  const int name_field = source_.name.empty() ? -1 : field(definition, source_.name, "name");
  layer.ResetReading();
  const GdalWords words;
  while (const std::unique_ptr<OGRFeature> feature{layer.GetNextFeature()}) take(*feature, id_field, name_field);
  if (words.failed())
    log_.error(source_.path, "", "the layer cannot be read to its end; " + log_.quote(words.text()), "check that the file is whole");
  if (out_.regions.empty() && seen_.empty() && !log_.has_errors())
    log_.error(source_.path, "", "the layer holds no region", "draw at least one region");
  return std::move(out_);
}

}  // namespace

std::optional<RegionLayer> read_region_layer(const RegionSource& source, InputLog& log) {
  prepare_gdal();
  RegionSource settled = source;
  if (settled.id.empty()) settled.id = "region";
  try {
    return LayerReader(settled, log).read();
  } catch (const ReadFailure& failure) {
    log.add(failure.problem);
    return std::nullopt;
  }
}

}  // namespace rickyard
