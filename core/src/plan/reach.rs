//! How far a plan reaches and how much is in it: one holding lies together, and what a laptop cannot bear is refused before it is worked out.

use super::edit::length_m;
use super::tangle::is_tangled;
use super::{Feature, FeatureId, Geometry, Kind, Plan};
use crate::bounds::{
    CORNERS_OF_PLAN, CROSSINGS, EARTHS, ENERGIZERS, FEATURES, FENCES_M, FOREIGN_PROPERTIES, LINES_M, ON_LINES, PADDOCKS,
    PLAN_REACH_M, POSTS,
};
use crate::land::{Position, middle, midst};
use std::collections::HashMap;
use std::fmt;

/// What goes beyond the bounds of a plan: a place too far from the rest, or too much of something.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Beyond {
    /// The feature, when it is in one.
    pub feature: Option<FeatureId>,
    /// What the keeper calls the feature.
    pub name: Option<String>,
    /// Where it stands, with the members around it: `geometry.coordinates[3]`.
    pub property: String,
    /// What stands there.
    pub found: String,
    /// What may stand there.
    pub allowed: String,
}

impl fmt::Display for Beyond {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(feature) = &self.feature {
            write!(to, "feature {feature}")?;
            if let Some(name) = &self.name {
                write!(to, " ({name})")?;
            }
            write!(to, ", ")?;
        }
        write!(to, "{}: found {}; allowed is {}", self.property, self.found, self.allowed)
    }
}

impl std::error::Error for Beyond {}

/// A place too far from the midst of its plan.
fn too_far(feature: &Feature, path: &str, at: Position, midst: Position) -> Beyond {
    let turned = (at.lon_deg().abs() <= 90.0).then_some(Position { lon_e9: at.lat_e9, lat_e9: at.lon_e9 });
    let guess = match turned {
        _ if at == (Position { lon_e9: 0, lat_e9: 0 }) => "; longitude 0, latitude 0 often stands where nothing was known",
        Some(turned) if turned.arc_m(midst) <= PLAN_REACH_M => "; are longitude and latitude exchanged?",
        _ => "",
    };
    let far_km = at.arc_m(midst) / 1000.0;
    Beyond {
        feature: Some(feature.id.clone()),
        name: feature.name.clone(),
        property: format!("geometry.coordinates{path}"),
        found: format!("{}, {far_km:.0} km from the middle of the plan at {}", lon_lat(at), lon_lat(midst)),
        allowed: format!("a place within {:.0} km of it{guess}", PLAN_REACH_M / 1000.0),
    }
}

fn lon_lat(at: Position) -> String {
    format!("longitude {}, latitude {}", at.lon_deg(), at.lat_deg())
}

impl Plan {
    /// The middle of the rectangle around everything drawn; `None` while nothing is.
    pub fn middle(&self) -> Option<Position> {
        middle(&places(self.features.iter().map(AsRef::as_ref)))
    }

    /// The first thing in it that no plan may hold: too much of something, or a place too far from the midst of all.
    pub fn beyond(&self) -> Option<Beyond> {
        self.far_place().or_else(|| self.too_much()).or_else(|| self.too_many_alike()).or_else(|| self.too_many_unknown())
    }

    /// Of a kind that is held against lines, or against all of another kind, more than any holding has.
    fn too_many_alike(&self) -> Option<Beyond> {
        let drawn = std::iter::once(("features".to_owned(), &self.features));
        let laid = self.head.layouts.iter().enumerate();
        let laid = laid.map(|(index, layout)| (format!("hillwire.layouts[{index}].features"), &layout.features));
        drawn.chain(laid).find_map(|(property, features)| {
            let mut counts: HashMap<&str, (usize, usize)> = HashMap::new();
            for feature in features {
                let Some((word, most)) = feature.kind.word().zip(most_of(&feature.kind)) else { continue };
                counts.entry(word).or_insert((0, most)).0 += 1;
            }
            // The same on every machine: a map has no order of its own.
            let mut beyond: Vec<_> = counts.into_iter().filter(|(_, (count, most))| count > most).collect();
            beyond.sort_unstable();
            let (word, (count, most)) = beyond.first()?;
            let (found, allowed) = (format!("{count} features of the kind {word}"), format!("{most} of them at most"));
            Some(Beyond { feature: None, name: None, property, found, allowed })
        })
    }

    /// A feature with more members of other programs than are carried along.
    fn too_many_unknown(&self) -> Option<Beyond> {
        let laid = self.head.layouts.iter().flat_map(|layout| &layout.features);
        self.features.iter().chain(laid).find_map(|feature| {
            let members =
                [("properties", &feature.extra), ("members", &feature.foreign), ("geometry", &feature.geometry_foreign)];
            let (property, found) = members.into_iter().find(|(_, members)| members.len() > FOREIGN_PROPERTIES)?;
            Some(Beyond {
                feature: Some(feature.id.clone()),
                name: feature.name.clone(),
                property: property.to_owned(),
                found: format!("{} that are not known", found.len()),
                allowed: format!("{FOREIGN_PROPERTIES} at most"),
            })
        })
    }

    fn too_much(&self) -> Option<Beyond> {
        let beyond = |property: &str, found: String, allowed: String| {
            Some(Beyond { feature: None, name: None, property: property.to_owned(), found, allowed })
        };
        if self.features.len() > FEATURES {
            return beyond("features", format!("{} features", self.features.len()), format!("{FEATURES} features at most"));
        }
        let laid = self.head.layouts.iter().flat_map(|layout| &layout.features);
        let corners: usize = self.features.iter().chain(laid).map(|feature| corners_of(feature)).sum();
        if corners > CORNERS_OF_PLAN {
            return beyond("features", format!("{corners} corners in all"), format!("{CORNERS_OF_PLAN} corners at most"));
        }
        let lines = self.features.iter().filter_map(|feature| feature.line());
        let length = lines.map(length_m).sum::<f64>();
        if length > LINES_M {
            let (found, allowed) = (length / 1000.0, LINES_M / 1000.0);
            return beyond("features", format!("lines of {found:.0} km together"), format!("{allowed:.0} km at most"));
        }
        if let Some((length, longest)) = self.fences_m().filter(|(length, _)| *length > FENCES_M) {
            return Some(Beyond {
                feature: Some(longest.id.clone()),
                name: longest.name.clone(),
                property: "geometry.coordinates".to_owned(),
                found: format!("fences and lead-outs of {:.0} km together, of which this is the longest", length / 1000.0),
                allowed: format!("{:.0} km at most", FENCES_M / 1000.0),
            });
        }
        let bays: HashMap<&str, f64> =
            self.head.builds.iter().map(|build| (build.id.as_str(), build.max_bay.as_metres())).collect();
        let posts: f64 = self.features.iter().map(|feature| least_posts(feature, &bays)).sum();
        if posts > POSTS as f64 {
            let found = format!("fences and lead-outs with {posts:.0} corners and posts at least");
            return beyond("features", found, format!("{POSTS} at most: longer bays, fewer corners, or several plans"));
        }
        let strung = self.features.iter().filter(|feature| feature.kind.carries_strands());
        if is_tangled(strung.filter_map(|feature| feature.line()), CROSSINGS) {
            let found = format!("fences and lead-outs that cross at more than {CROSSINGS} places");
            return beyond("features", found, format!("{CROSSINGS} at most; a walk that stood still is no line"));
        }
        None
    }

    /// Length of all fences and lead-outs on the map, metres, and the longest of them.
    fn fences_m(&self) -> Option<(f64, &Feature)> {
        let strung = self.features.iter().filter(|feature| feature.kind.carries_strands());
        let all = strung.filter_map(|feature| Some((length_m(feature.line()?), feature.as_ref())));
        all.reduce(|one, other| {
            (one.0 + other.0, if other.0 > length_m(one.1.line().unwrap_or_default()) { other.1 } else { one.1 })
        })
    }

    /// The first place that lies too far from the midst of all, in the order of the features and then of the layouts set aside.
    fn far_place(&self) -> Option<Beyond> {
        let laid = || self.head.layouts.iter().flat_map(|layout| &layout.features);
        let all = places(self.features.iter().chain(laid()).map(AsRef::as_ref));
        if lie_close(&all) {
            return None;
        }
        let midst = midst(&all)?;
        let drawn = far_from(self.features.iter().map(AsRef::as_ref), midst);
        drawn.or_else(|| {
            let mut layouts = self.head.layouts.iter().enumerate();
            layouts.find_map(|(index, layout)| {
                let far = far_from(layout.features.iter().map(AsRef::as_ref), midst)?;
                let feature = layout.features.iter().position(|feature| Some(&feature.id) == far.feature.as_ref())?;
                Some(Beyond { property: format!("hillwire.layouts[{index}].features[{feature}].{}", far.property), ..far })
            })
        })
    }

    /// The first place of features from elsewhere that lies too far from this plan; from the midst of their own while nothing is
    /// drawn and nobody says where the plan's ground is.
    pub fn far_from_it(&self, features: &[Feature], ground: Option<Position>) -> Option<Beyond> {
        let drawn = places(self.features.iter().map(AsRef::as_ref));
        let midst = midst(&drawn).or(ground).or_else(|| midst(&places(features.iter())))?;
        far_from(features.iter(), midst)
    }
}

fn places<'a>(features: impl Iterator<Item = &'a Feature>) -> Vec<Position> {
    let mut all = Vec::new();
    for feature in features {
        match &feature.geometry {
            Geometry::Point(at) => all.push(*at),
            Geometry::Line(corners) => all.extend(corners),
            Geometry::Area(rings) => all.extend(rings.iter().flatten()),
            Geometry::Other(_) => {}
        }
    }
    all
}

/// How many of a kind a plan may have, for kinds that are held against lines or against all of another kind.
fn most_of(kind: &Kind) -> Option<usize> {
    match kind {
        Kind::Paddock(_) => Some(PADDOCKS),
        Kind::Gate(_) | Kind::Cutout { .. } | Kind::Jumper(_) => Some(ON_LINES),
        Kind::Energizer(_) => Some(ENERGIZERS),
        Kind::Earth { .. } | Kind::Building { .. } => Some(EARTHS),
        _ => None,
    }
}

fn corners_of(feature: &Feature) -> usize {
    match &feature.geometry {
        Geometry::Point(_) => 1,
        Geometry::Line(corners) => corners.len(),
        Geometry::Area(rings) => rings.iter().map(Vec::len).sum(),
        Geometry::Other(_) => 0,
    }
}

/// The fewest posts that a line can have: one at each corner, and as many as its longest bay asks for, which nobody makes longer than this.
fn least_posts(feature: &Feature, bays: &HashMap<&str, f64>) -> f64 {
    const LONGEST_BAY_M: f64 = 30.0;
    let bay_m = match &feature.kind {
        Kind::Fence(fence) => bays.get(fence.build.as_str()).copied(),
        Kind::LeadOut(lead_out) => lead_out.spacing.map(crate::units::Length::as_metres),
        _ => return 0.0,
    };
    let Some(corners) = feature.line() else { return 0.0 };
    let bay_m = bay_m.filter(|bay_m| *bay_m > 0.0).unwrap_or(LONGEST_BAY_M).min(LONGEST_BAY_M);
    corners.len() as f64 + length_m(corners) / bay_m
}

/// Whether all lie in so small a rectangle of degrees that nobody has to look closer.
fn lie_close(places: &[Position]) -> bool {
    // 0.5 degree is 56 km of arc at most, and the diagonal of such a rectangle 79 km.
    const SIDE_E9: i64 = 500_000_000;
    let Some(first) = places.first() else { return true };
    let around = |(low, high): (i64, i64), value: i64| (low.min(value), high.max(value));
    let (lon, lat) = places.iter().fold(((first.lon_e9, first.lon_e9), (first.lat_e9, first.lat_e9)), |(lon, lat), at| {
        (around(lon, at.lon_e9), around(lat, at.lat_e9))
    });
    lon.1 - lon.0 <= SIDE_E9 && lat.1 - lat.0 <= SIDE_E9
}

fn far_from<'a>(mut features: impl Iterator<Item = &'a Feature>, midst: Position) -> Option<Beyond> {
    let is_far = |at: &Position| at.arc_m(midst) > PLAN_REACH_M;
    features.find_map(|feature| match &feature.geometry {
        Geometry::Point(at) => is_far(at).then(|| too_far(feature, "", *at, midst)),
        Geometry::Line(corners) => {
            let corner = corners.iter().position(is_far)?;
            Some(too_far(feature, &format!("[{corner}]"), corners[corner], midst))
        }
        Geometry::Area(rings) => rings.iter().enumerate().find_map(|(ring, corners)| {
            let corner = corners.iter().position(is_far)?;
            Some(too_far(feature, &format!("[{ring}][{corner}]"), corners[corner], midst))
        }),
        Geometry::Other(_) => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::finding::Weight;
    use crate::land::Ground;
    use crate::land::fixture::plane;
    use crate::outcome::{Kept, outcome};
    use crate::plan::arbitrary;
    use crate::plan::{Build, Edit, EditError, Fence, Head, Layout, Opened, read_plan, write_plan};
    use crate::units::Length;
    use proptest::prelude::*;
    use std::sync::Arc;

    fn at(lon: f64, lat: f64) -> Position {
        Position::from_degrees(lon, lat)
    }

    fn fence(id: &str, corners: &[Position]) -> Feature {
        Feature::new(FeatureId::new(id), Kind::Fence(Fence::default()), Geometry::Line(corners.to_vec()))
    }

    fn plan(features: Vec<Feature>) -> Plan {
        Plan::new(Head::default(), features)
    }

    #[test]
    fn a_place_far_from_the_rest_is_named_with_its_corner_and_what_may_have_happened() {
        let near = [at(-3.46, 55.35), at(-3.45, 55.35), at(-3.45, 55.36)];
        let cases = [
            ("exchanged", at(55.351, -3.455), "are longitude and latitude exchanged?"),
            ("never known", at(0.0, 0.0), "where nothing was known"),
            ("elsewhere", at(18.0, -33.0), "within 300 km of it"),
        ];
        for (what, far, part) in cases {
            let drawn = plan(vec![fence("west", &near), fence("east", &[near[0], near[2], far, near[1]])]);
            let found = drawn.beyond().expect(what);
            assert_eq!(
                (found.feature.clone(), found.property.as_str()),
                (Some(FeatureId::new("east")), "geometry.coordinates[2]")
            );
            assert!(found.to_string().contains(part), "{what}: {found}");
            let error = read_plan("far.geojson", &write_plan(&drawn)).expect_err(what);
            assert_eq!(error.feature.as_deref(), Some("east"));
            assert!(error.line > 2 && error.to_string().contains(part), "{what}: {error}");
        }
        assert_eq!(plan(vec![fence("west", &near), fence("east", &[near[0], at(-2.2, 55.3)])]).beyond(), None);
    }

    #[test]
    fn plans_across_the_date_line_and_over_a_pole_are_read() {
        let fiji = fence("fiji", &[at(179.995, -16.8), at(-179.995, -16.8), at(-179.995, -16.79)]);
        let pole = fence("pole", &[at(0.0, 89.99), at(120.0, 89.99), at(-120.0, 89.99)]);
        for drawn in [plan(vec![fiji]), plan(vec![pole])] {
            assert_eq!(drawn.beyond(), None);
            let Ok(Opened::Plan(back, _)) = read_plan("x", &write_plan(&drawn)) else { panic!("it is a plan") };
            assert_eq!(back.features, drawn.features);
            let frame = crate::outcome::frame(&back, None);
            for place in drawn.features[0].line().expect("a line") {
                let point = frame.to_map(*place).expect("near");
                assert!(point.x_m.abs() < 3000.0 && point.y_m.abs() < 3000.0, "{point:?}");
            }
        }
    }

    #[test]
    fn a_layout_set_aside_is_looked_through_too() {
        let near = [at(-3.46, 55.35), at(-3.45, 55.35)];
        let mut drawn = plan(vec![fence("west", &near)]);
        let laid = Arc::new(fence("west", &[near[0], at(55.0, -3.0)]));
        Arc::make_mut(&mut drawn.head).layouts = vec![Layout { name: "a".to_owned(), features: vec![laid], ..Layout::default() }];
        let found = drawn.beyond().expect("found");
        assert_eq!(found.property, "hillwire.layouts[0].features[0].geometry.coordinates[1]");
        assert!(read_plan("far.geojson", &write_plan(&drawn)).is_err());
    }

    #[test]
    fn no_edit_takes_a_place_so_far_that_the_plan_could_not_be_read_again() {
        let near = [at(-3.46, 55.35), at(-3.45, 55.35)];
        let drawn = plan(vec![fence("west", &near)]);
        let far = Edit::MoveCorner { id: FeatureId::new("west"), corner: 1, to: at(3.0, 55.0) };
        assert!(matches!(far.apply(&drawn), Err(EditError::Beyond(_))));
        let other = Edit::Add(Box::new(fence("other", &[at(100.0, 1.0), at(100.1, 1.0)])));
        assert!(matches!(other.apply(&drawn), Err(EditError::Beyond(_))));
    }

    #[test]
    fn more_posts_or_corners_than_a_laptop_bears_are_refused_before_they_are_worked_out() {
        let build = Build { id: "a".to_owned(), max_bay: Length::metres(0.5), ..Build::default() };
        let zigzag = |wide: f64| -> Vec<Position> {
            (0..40).map(|k| at(-3.46 + wide * f64::from(k % 2), 55.35 + 0.001 * f64::from(k))).collect()
        };
        let (zigzag, long) = (zigzag(0.05), zigzag(0.2));
        let mut drawn = plan(vec![fence("west", &zigzag)]);
        drawn.features = vec![Arc::new(Feature {
            kind: Kind::Fence(Fence { build: "a".to_owned(), ..Fence::default() }),
            ..fence("west", &zigzag)
        })];
        Arc::make_mut(&mut drawn.head).builds = vec![build];
        let found = drawn.beyond().expect("120 km at half a metre").to_string();
        assert!(found.contains("100000 at most"), "{found}");
        Arc::make_mut(&mut drawn.head).builds[0].max_bay = Length::metres(8.0);
        assert_eq!(drawn.beyond(), None);
        let found = plan(vec![fence("west", &zigzag), fence("east", &long)]).beyond().expect("500 km of fence").to_string();
        assert!(found.contains("east") && found.contains("200 km at most"), "{found}");
    }

    #[test]
    fn more_of_a_kind_than_any_holding_has_is_refused_and_named_wherever_it_is() {
        let place = at(-3.46, 55.35);
        let earth = Kind::Earth { rods: None, rod_length: None, rod_diameter: None, spacing: None };
        let rows: [(&str, Kind, usize); 6] = [
            ("paddock", Kind::Paddock(Default::default()), PADDOCKS),
            ("gate", Kind::Gate(Default::default()), ON_LINES),
            ("cutout", Kind::Cutout { open: false }, ON_LINES),
            ("energizer", Kind::Energizer(Default::default()), ENERGIZERS),
            ("earth", earth, EARTHS),
            ("building", Kind::Building { mains: true }, EARTHS),
        ];
        for (word, kind, most) in rows {
            let of = |count: usize| -> Vec<Feature> {
                let id = |k: usize| FeatureId::new(&format!("m{k}"));
                (0..count).map(|k| Feature::new(id(k), kind.clone(), Geometry::Point(place))).collect()
            };
            assert_eq!(plan(of(most)).beyond(), None, "{word}");
            let found = plan(of(most + 1)).beyond().expect(word).to_string();
            let count = most + 1;
            assert_eq!(found, format!("features: found {count} features of the kind {word}; allowed is {most} of them at most"));
            let mut with_layout = plan(vec![fence("west", &[place, at(-3.45, 55.35)])]);
            let features = of(most + 1).into_iter().map(Arc::new).collect();
            Arc::make_mut(&mut with_layout.head).layouts = vec![Layout { name: "a".to_owned(), features, ..Layout::default() }];
            assert_eq!(with_layout.beyond().expect(word).property, "hillwire.layouts[0].features");
        }
    }

    #[test]
    fn a_feature_carries_members_of_other_programs_along_up_to_a_bound() {
        let mut west = fence("west", &[at(-3.46, 55.35), at(-3.45, 55.35)]);
        west.extra = (0..FOREIGN_PROPERTIES).map(|k| (format!("k{k}"), 1.into())).collect();
        assert_eq!(plan(vec![west.clone()]).beyond(), None);
        west.extra.insert("one more".to_owned(), 1.into());
        let found = plan(vec![west]).beyond().expect("one more").to_string();
        assert_eq!(found, "feature west, properties: found 2001 that are not known; allowed is 2000 at most");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]

        #[test]
        fn every_drawn_line_has_an_outcome_or_is_named_by_an_error_or_a_finding(
            drawn in arbitrary::plan(), turned in any::<Option<prop::sample::Index>>(), is_elsewhere in any::<bool>(),
        ) {
            let mut drawn = drawn;
            let lines: Vec<usize> = (0..drawn.features.len()).filter(|k| drawn.features[*k].line().is_some()).collect();
            if let Some(index) = turned.filter(|_| !lines.is_empty()) {
                let feature = Arc::make_mut(&mut drawn.features[lines[index.index(lines.len())]]);
                if let Geometry::Line(corners) = &mut feature.geometry {
                    corners[0] = Position { lon_e9: corners[0].lat_e9, lat_e9: corners[0].lon_e9 };
                }
            }
            let read = read_plan("p", &write_plan(&drawn));
            prop_assert!(read.is_ok() || read.is_err_and(|error| error.feature.is_some()));
            // Even where nobody refused it: no line may be missing in silence.
            let grid = plane(20, 20, 10.0, 0.1, 0.0);
            let frame = Ground::frame_of(&grid).expect("in UTM");
            let ground = is_elsewhere.then(|| Ground::new(Arc::new(grid), frame).expect("in UTM"));
            let found = outcome(&drawn, 0, ground.as_ref(), Catalogue::built_in(), &mut Kept::default());
            for line in drawn.features.iter().filter(|feature| feature.kind.carries_strands() && feature.line().is_some()) {
                let has_outcome = found.lines.iter().any(|known| known.id == line.id);
                let is_named = found.findings.iter().any(|finding| {
                    finding.weight == Weight::MustFix && finding.place.line.as_ref() == Some(&line.id)
                });
                prop_assert!(has_outcome || is_named, "{}", line.id);
            }
        }
    }

    #[test]
    fn features_from_elsewhere_are_held_against_the_plan_and_only_without_one_against_themselves() {
        let near = [at(-3.46, 55.35), at(-3.45, 55.35)];
        let turned = [fence("walk", &[at(55.35, -3.46), at(55.36, -3.46)])];
        assert!(plan(vec![fence("west", &near)]).far_from_it(&turned, None).is_some());
        assert!(plan(Vec::new()).far_from_it(&turned, Some(near[0])).is_some());
        assert_eq!(plan(Vec::new()).far_from_it(&turned, None), None);
    }
}
