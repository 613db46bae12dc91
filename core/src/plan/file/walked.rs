//! GPX and KML of other programs as an import: points, lines and polygons without a kind.

use super::super::Geometry;
use super::super::feature::{Feature, FeatureId, FreshIds};
use super::super::kinds::Kind;
use super::taken::thinned;
use super::trouble::{PlanError, PlanNote};
use super::xml_trouble::xml_trouble;
use super::{Opened, as_utf8};
use crate::bounds::ATTRIBUTES;
use crate::land::Position;
use roxmltree::{Document, Error as Xml, Node, ParsingOptions};

/// More elements than this are not read: a year of walking has a tenth of them.
const MOST_ELEMENTS: u32 = 4_000_000;
/// Geometries inside each other no deeper than this.
const DEEPEST: usize = 16;

/// Whether a text may be XML: its first character that is not a space, after a byte order mark, opens an element.
pub fn looks_like_xml(text: &[u8]) -> bool {
    let text = text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text);
    text.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'<')
}

/// Reads the waypoints, routes and tracks of a GPX file, or the placemarks of a KML file. Each piece of a track is a line of its own.
///
/// # Errors
/// [`PlanError`] with the line, what was found and what is allowed: text that is not XML, another root, places without a number.
pub fn read_walked(name: &str, text: &[u8]) -> Result<Opened, PlanError> {
    let text = as_utf8(name, text)?;
    let document = parse_xml(name, text)?;
    let mut reader = Walked { name, document: &document, ids: FreshIds::new("import"), features: Vec::new(), notes: Vec::new() };
    let root = document.root_element();
    match root.tag_name().name() {
        "gpx" => reader.gpx(root)?,
        "kml" => reader.kml(root)?,
        other => return Err(reader.error(root, &format!("<{other}>"), "<gpx> or <kml>")),
    }
    Ok(Opened::Import(reader.features, reader.notes))
}

/// The elements of a text.
///
/// # Errors
/// [`PlanError`] with the line.
pub(super) fn parse_xml<'a>(name: &str, text: &'a str) -> Result<Document<'a>, PlanError> {
    check_attributes(name, text)?;
    // A document type could define entities that grow without end: such files are refused.
    let options = ParsingOptions { allow_dtd: false, nodes_limit: MOST_ELEMENTS, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|error| {
        let (found, allowed) = xml_trouble(&error);
        let line = match &error {
            // Where a text breaks off is its last line.
            Xml::UnexpectedEndOfStream | Xml::UnclosedRootNode | Xml::NoRootNode => text.lines().count().max(1),
            error => error.pos().row as usize,
        };
        PlanError::in_line(name, line, &found, &allowed)
    })
}

/// Refuses elements with more attributes than any form has: each is held against all others of its element.
fn check_attributes(name: &str, text: &str) -> Result<(), PlanError> {
    let mut at = 0;
    for part in text.split('<') {
        let is_element = !part.starts_with(['!', '?']);
        let quotes = part.bytes().filter(|byte| matches!(byte, b'"' | b'\'')).count();
        if is_element && quotes > 2 * ATTRIBUTES {
            let (line, found) = (text[..at].lines().count().max(1), format!("an element with {} attributes", quotes / 2));
            return Err(PlanError::in_line(name, line, &found, &format!("at most {ATTRIBUTES}")));
        }
        at += part.len() + 1;
    }
    Ok(())
}

struct Walked<'a, 'input> {
    name: &'a str,
    document: &'a Document<'input>,
    ids: FreshIds,
    features: Vec<Feature>,
    notes: Vec<PlanNote>,
}

type Found<'a, 'input> = Node<'a, 'input>;

impl Walked<'_, '_> {
    fn error(&self, at: Found<'_, '_>, found: &str, allowed: &str) -> PlanError {
        PlanError::in_line(self.name, self.document.text_pos_at(at.range().start).row as usize, found, allowed)
    }

    fn gpx(&mut self, root: Found<'_, '_>) -> Result<(), PlanError> {
        for part in root.children().filter(Node::is_element) {
            match part.tag_name().name() {
                "wpt" => {
                    let at = self.gpx_place(part)?;
                    self.add(part, "desc", Geometry::Point(at));
                }
                "rte" => {
                    let line = self.gpx_places(part, "rtept")?;
                    self.add_line(part, "desc", line);
                }
                "trk" => {
                    for piece in children(part, "trkseg") {
                        let line = self.gpx_places(piece, "trkpt")?;
                        self.add_walked(part, "desc", line);
                    }
                }
                _ => {}
            }
        }
        Ok(())
    }

    fn gpx_places(&self, of: Found<'_, '_>, tag: &str) -> Result<Vec<Position>, PlanError> {
        children(of, tag).map(|point| self.gpx_place(point)).collect()
    }

    fn gpx_place(&self, point: Found<'_, '_>) -> Result<Position, PlanError> {
        let degrees = |key: &str| {
            let text = point.attribute(key).ok_or_else(|| self.error(point, &format!("no {key}"), "lat and lon in degrees"))?;
            self.degrees(point, text.trim())
        };
        let (lat, lon) = (degrees("lat")?, degrees("lon")?);
        self.place(point, lon, lat)
    }

    fn degrees(&self, at: Found<'_, '_>, text: &str) -> Result<f64, PlanError> {
        let number = text.parse::<f64>().ok().filter(|number| number.is_finite());
        number.ok_or_else(|| self.error(at, &format!("{:?}", shortened(text)), "a number of degrees"))
    }

    fn place(&self, at: Found<'_, '_>, lon: f64, lat: f64) -> Result<Position, PlanError> {
        if lon.abs() <= 180.0 && lat.abs() <= 90.0 {
            return Ok(Position::from_degrees(lon, lat));
        }
        let found = format!("longitude {lon}, latitude {lat}");
        Err(self.error(at, &found, "longitudes from -180 to 180 and latitudes from -90 to 90"))
    }

    fn kml(&mut self, root: Found<'_, '_>) -> Result<(), PlanError> {
        for mark in root.descendants().filter(|node| node.tag_name().name() == "Placemark") {
            let before = self.features.len();
            for shape in mark.children().filter(Node::is_element) {
                self.kml_shape(mark, shape, 0)?;
            }
            let parts = self.features.len() - before;
            if parts > 1 {
                let feature = self.features[before].label().to_owned();
                self.notes.push(PlanNote::TakenApart { feature, parts });
            }
        }
        Ok(())
    }

    fn kml_shape(&mut self, mark: Found<'_, '_>, shape: Found<'_, '_>, depth: usize) -> Result<(), PlanError> {
        match shape.tag_name().name() {
            "Point" => {
                let places = self.kml_places(shape)?;
                if let Some(at) = places.first() {
                    self.add(mark, "description", Geometry::Point(*at));
                }
            }
            "LineString" | "LinearRing" => {
                let line = self.kml_places(shape)?;
                self.add_line(mark, "description", line);
            }
            "Track" => {
                let coords = children(shape, "coord");
                let line = coords.map(|coord| self.spaced_place(coord)).collect::<Result<Vec<_>, _>>()?;
                self.add_walked(mark, "description", line);
            }
            "Polygon" => {
                let rings = shape.descendants().filter(|node| node.tag_name().name() == "LinearRing");
                let mut rings = rings.map(|ring| self.kml_ring(ring)).collect::<Result<Vec<_>, _>>()?;
                for (index, ring) in rings.iter_mut().enumerate() {
                    wind(ring, index == 0);
                }
                if !rings.is_empty() {
                    self.add(mark, "description", Geometry::Area(rings));
                }
            }
            "MultiGeometry" | "MultiTrack" if depth < DEEPEST => {
                for part in shape.children().filter(Node::is_element) {
                    self.kml_shape(mark, part, depth + 1)?;
                }
            }
            _ => {}
        }
        Ok(())
    }

    fn kml_ring(&self, ring: Found<'_, '_>) -> Result<Vec<Position>, PlanError> {
        let mut places = self.kml_places(ring)?;
        if places.first() != places.last() {
            places.extend(places.first().copied());
        }
        if places.len() < 4 {
            return Err(self.error(ring, &format!("a ring of {} places", places.len()), "rings of 4 places and more"));
        }
        Ok(places)
    }

    /// `lon,lat[,height]`, parted by spaces.
    fn kml_places(&self, shape: Found<'_, '_>) -> Result<Vec<Position>, PlanError> {
        let Some(list) = children(shape, "coordinates").next() else { return Ok(Vec::new()) };
        let place = |written: &str| {
            let mut numbers = written.split(',');
            let (Some(lon), Some(lat)) = (numbers.next(), numbers.next()) else {
                return Err(self.error(list, &format!("{:?}", shortened(written)), "longitude,latitude"));
            };
            self.place(list, self.degrees(list, lon)?, self.degrees(list, lat)?)
        };
        list.text().unwrap_or_default().split_whitespace().map(place).collect()
    }

    /// `lon lat height`.
    fn spaced_place(&self, coord: Found<'_, '_>) -> Result<Position, PlanError> {
        let text = coord.text().unwrap_or_default();
        let mut numbers = text.split_whitespace();
        let (Some(lon), Some(lat)) = (numbers.next(), numbers.next()) else {
            return Err(self.error(coord, &format!("{:?}", shortened(text)), "longitude and latitude"));
        };
        self.place(coord, self.degrees(coord, lon)?, self.degrees(coord, lat)?)
    }

    /// A line with a place for every second or metre of a walk.
    fn add_walked(&mut self, of: Found<'_, '_>, note: &str, mut places: Vec<Position>) {
        places.dedup();
        let all = places.len();
        let places = thinned(places);
        let (before, kept) = (self.features.len(), places.len());
        self.add_line(of, note, places);
        if let Some(feature) = self.features.get(before).filter(|_| kept < all) {
            self.notes.push(PlanNote::Thinned { feature: feature.label().to_owned(), from: all, to: kept });
        }
    }

    /// A line, where there is one: fewer than two different places are none.
    fn add_line(&mut self, of: Found<'_, '_>, note: &str, mut places: Vec<Position>) {
        places.dedup();
        if places.len() >= 2 {
            self.add(of, note, Geometry::Line(places));
        }
    }

    fn add(&mut self, of: Found<'_, '_>, note: &str, geometry: Geometry) {
        let text = |tag: &str| {
            let text = children(of, tag).next()?.text()?.trim().to_owned();
            Some(text).filter(|text| !text.is_empty())
        };
        let id: FeatureId = self.ids.next(|_| false);
        let mut feature = Feature::new(id, Kind::Other(None), geometry);
        (feature.name, feature.note) = (text("name"), text(note));
        self.features.push(feature);
    }
}

fn children<'a, 'input>(of: Node<'a, 'input>, tag: &str) -> impl Iterator<Item = Node<'a, 'input>> + use<'a, 'input> {
    let tag = tag.to_owned();
    of.children().filter(move |node| node.is_element() && node.tag_name().name() == tag)
}

/// Turns a ring the way RFC 7946 wants it: the outer one anticlockwise, holes clockwise.
fn wind(ring: &mut [Position], is_outer: bool) {
    let Some(first) = ring.first().copied() else { return };
    let cross =
        |one: &Position, other: &Position| one.east_of_deg(first) * other.lat_deg() - other.east_of_deg(first) * one.lat_deg();
    let twice_area: f64 = ring.windows(2).map(|side| cross(&side[0], &side[1])).sum();
    if (twice_area > 0.0) != is_outer {
        ring.reverse();
    }
}

/// The beginning of a text that may be long.
fn shortened(text: &str) -> String {
    text.chars().take(40).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn features(text: &str) -> Vec<Feature> {
        match read_walked("walk", text.as_bytes()) {
            Ok(Opened::Import(features, _)) => features,
            other => panic!("{other:?}"),
        }
    }

    fn corners(feature: &Feature) -> Vec<(f64, f64)> {
        let places = match &feature.geometry {
            Geometry::Area(rings) => rings[0].clone(),
            _ => feature.places(),
        };
        places.iter().map(|at| (at.lon_deg(), at.lat_deg())).collect()
    }

    #[test]
    fn gpx_gives_waypoints_routes_and_each_piece_of_a_track() {
        let found = features(
            r#"<?xml version="1.0"?>
<gpx version="1.1">
 <metadata><name>not a feature</name></metadata>
 <wpt lat="56.6" lon="-3.81"><ele>210</ele><name>Spring</name><desc>wet all year</desc></wpt>
 <rte><name>Round</name><rtept lat="56.60" lon="-3.80"/><rtept lat="56.61" lon="-3.80"/></rte>
 <trk><name>Track</name>
  <trkseg><trkpt lat="56.6" lon="-3.8"/><trkpt lat="56.6" lon="-3.8"/><trkpt lat="56.6001" lon="-3.8002"/></trkseg>
  <trkseg><trkpt lat="56.61" lon="-3.8"/></trkseg>
  <trkseg><trkpt lat="56.62" lon="-3.8"/><trkpt lat="56.62" lon="-3.81"/></trkseg>
 </trk>
</gpx>"#,
        );
        let names: Vec<_> = found.iter().map(Feature::label).collect();
        assert_eq!(names, ["Spring", "Round", "Track", "Track"]);
        assert_eq!(found[0].note.as_deref(), Some("wet all year"));
        assert_eq!(corners(&found[0]), [(-3.81, 56.6)]);
        assert_eq!(corners(&found[2]), [(-3.8, 56.6), (-3.8002, 56.6001)], "the same place twice is one corner");
        let mut ids: Vec<_> = found.iter().map(|feature| feature.id.as_str()).collect();
        ids.dedup();
        assert_eq!(ids.len(), 4);
    }

    #[test]
    fn kml_gives_its_placemarks_whatever_folders_they_lie_in() {
        let found = features(
            r#"<kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="urn:example:gx"><Document><Folder>
<Placemark><name>Gate</name><Point><coordinates>-3.8,56.6,12</coordinates></Point></Placemark>
<Placemark><name>Beck</name><LineString><coordinates> -3.8,56.6 -3.7,56.6
  -3.7,56.7,0 </coordinates></LineString></Placemark></Folder>
<Placemark><name>Field</name><Polygon><outerBoundaryIs><LinearRing><coordinates>0,0 0,1 1,1 1,0 0,0</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>
<Placemark><name>Two</name><MultiGeometry><Point><coordinates>1,1</coordinates></Point><Point><coordinates>2,2</coordinates></Point></MultiGeometry></Placemark>
<Placemark><name>Walked</name><gx:Track><gx:coord>1 2 3</gx:coord><gx:coord>1.1 2 3</gx:coord></gx:Track></Placemark>
</Document></kml>"#,
        );
        let names: Vec<_> = found.iter().map(Feature::label).collect();
        assert_eq!(names, ["Gate", "Beck", "Field", "Two", "Two", "Walked"]);
        assert_eq!(corners(&found[1]), [(-3.8, 56.6), (-3.7, 56.6), (-3.7, 56.7)]);
        assert_eq!(corners(&found[2]), [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (0.0, 0.0)], "anticlockwise");
        assert_eq!(corners(&found[5]), [(1.0, 2.0), (1.1, 2.0)]);
    }

    #[test]
    fn half_broken_and_hostile_files_give_one_error_with_its_line() {
        let rows = [
            ("<gpx>\n<wpt lat=\"a\" lon=\"1\"/></gpx>", 2, "a number of degrees"),
            ("<gpx>\n\n<wpt lon=\"1\"/></gpx>", 3, "lat and lon"),
            ("<gpx><wpt lat=\"91\" lon=\"1\"/></gpx>", 1, "latitudes"),
            ("<gpx><wpt lat=\"NaN\" lon=\"1\"/></gpx>", 1, "a number of degrees"),
            ("<gpx><trk>", 1, "a whole file"),
            ("<html><body/></html>", 1, "<gpx> or <kml>"),
            ("<kml>\n<Placemark><Point><coordinates>3.8</coordinates></Point></Placemark></kml>", 2, "longitude,latitude"),
            (
                "<kml><Placemark><Polygon><LinearRing><coordinates>0,0 1,1</coordinates></LinearRing></Polygon></Placemark></kml>",
                1,
                "rings",
            ),
            (
                "<!DOCTYPE gpx [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;\">]>\n<gpx><wpt lat=\"1\" lon=\"1\"><name>&b;</name></wpt></gpx>",
                1,
                "XML",
            ),
        ];
        for (text, line, allowed) in rows {
            let error = read_walked("walk", text.as_bytes()).expect_err(text);
            assert!(error.line == line && error.allowed.contains(allowed), "{text}: {error}");
        }
        assert!(read_walked("walk", b"<gpx>\xff</gpx>").is_err());
        let empty = features("<gpx/>");
        assert_eq!(empty, []);
    }

    proptest::proptest! {
        #[test]
        fn no_bytes_bring_the_reader_down(bytes in proptest::collection::vec(proptest::prelude::any::<u8>(), 0..200), cut in 0_usize..300) {
            let _ = read_walked("walk", &bytes);
            let whole = r#"<gpx><trk><trkseg><trkpt lat="56.6" lon="-3.8"/><trkpt lat="56.6" lon="-3.9"/></trkseg></trk></gpx>"#;
            let mut broken = whole.as_bytes()[..cut.min(whole.len())].to_vec();
            broken.extend(&bytes[..bytes.len().min(10)]);
            let _ = read_walked("walk", &broken);
        }
    }
}
