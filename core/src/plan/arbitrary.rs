//! Plans and edits by chance, for the properties that reading, writing, editing and undoing keep.

use super::{
    Build, CornerChoice, Cut, Edit, Energizer, EntryLine, Fault, Feature, FeatureId, Fence, FileLink, Gate, Geometry,
    GroundChoice, Head, Jumper, Kind, Layout, LeadOut, Net, Paddock, Photo, Plan, Prices, Reading, StockGroup, Strand, Track,
    UnitSystem, Zone,
};
use crate::bounds::CONDUCTORS;
use crate::catalogue::Purpose;
use crate::land::{Frame, MapPoint, Position};
use crate::units::{Force, Length};
use proptest::collection::{btree_map, vec};
use proptest::prelude::*;
use serde_json::{Map, Number, Value, json};
use std::sync::Arc;

/// A place within about 2 km of the middle of an invented holding; coarse, so that corners often coincide.
fn place() -> impl Strategy<Value = Position> {
    (-20_i64..20, -20_i64..20, prop_oneof![Just(0_i64), -999_999_i64..999_999]).prop_map(|(east, north, fine)| Position {
        lon_e9: -3_812_000_000 + east * 1_000_000 + fine,
        lat_e9: 56_601_000_000 + north * 1_000_000 - fine,
    })
}

/// Text with everything that JSON has to escape.
fn text() -> impl Strategy<Value = String> {
    prop_oneof![Just("North \"line\" \\ \n\t\u{1}".to_owned()), Just("Höhe 高さ 🐖".to_owned()), "[a-z]{1,8}", any::<String>()]
}

fn length() -> impl Strategy<Value = Length> {
    prop_oneof![(0.0..9.9_f64), Just(0.1 + 0.2), Just(1e-12), Just(3.0)].prop_map(Length::metres)
}

fn value() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::Bool),
        any::<i64>().prop_map(|number| json!(number)),
        (-1e12..1e12_f64).prop_map(|number| json!(number)),
        Just(serde_json::from_str("123456789012345678901234567890.12300").expect("a number")),
        text().prop_map(Value::String),
    ];
    leaf.prop_recursive(3, 12, 4, |inner| {
        prop_oneof![
            vec(inner.clone(), 0..4).prop_map(Value::Array),
            vec((text(), inner), 0..4).prop_map(|members| Value::Object(members.into_iter().collect()))
        ]
    })
}

/// Members that no field takes: their names begin with x-.
fn unknown() -> impl Strategy<Value = Map<String, Value>> {
    vec(("x-[a-z]{1,3}", value()), 0..3).prop_map(|members| members.into_iter().collect())
}

fn corner_choice() -> impl Strategy<Value = CornerChoice> {
    let maybe = || proptest::option::of(length());
    (proptest::option::of(text()), any::<Option<bool>>(), maybe(), maybe(), unknown())
        .prop_map(|(post, brace, rock_depth, depth, foreign)| CornerChoice { post, brace, rock_depth, depth, foreign })
}

fn line_kind() -> impl Strategy<Value = Kind> {
    prop_oneof![
        4 => ((btree_map(0..5_usize, corner_choice(), 0..2), any::<bool>()), vec(vec(length(), 0..3), 5))
            .prop_map(|((corners, is_said), mut stations)| Kind::Fence(Fence {
                build: "pig-2".to_owned(),
                corners,
                posts: stations.remove(0),
                no_posts: stations.remove(0),
                hold_downs: stations.remove(0),
                braces: stations.remove(0),
                springs: stations.remove(0),
                vegetation: None,
                purpose: Some(Purpose::Roadside).filter(|_| is_said),
            })),
        1 => (proptest::option::of(0..=CONDUCTORS), any::<bool>()).prop_map(|(conductors, underground)| {
            let vegetation = underground.then(|| "heavy".to_owned());
            Kind::LeadOut(LeadOut { conductors, underground, earth_return: !underground, vegetation, ..LeadOut::default() })
        }),
        1 => length().prop_map(|width| Kind::Track(Track { width: Some(width), ..Track::default() })),
        1 => Just(Kind::Boundary { neighbour: None }),
        1 => length().prop_map(|width| Kind::Stream { width: Some(width), seasonal: true, culvert: true }),
        1 => Just(Kind::Other(Some("hedge".to_owned()))),
        1 => Just(Kind::Other(None)),
    ]
}

fn entry_line() -> impl Strategy<Value = EntryLine> {
    let line = proptest::option::of(prop_oneof![Just("0".to_owned()), Just("f \"1\"".to_owned()), text()]);
    (line, proptest::option::of(length())).prop_map(|(line, off)| EntryLine { line, off })
}

fn point_kind() -> impl Strategy<Value = Kind> {
    prop_oneof![
        (length(), proptest::option::of(text())).prop_map(|(width, cable)| {
            Kind::Gate(Gate { width: Some(width), live: Some(true), crossing: Some("none".to_owned()), cable })
        }),
        length().prop_map(|length| Kind::Earth {
            rods: Some(3),
            rod_length: Some(length),
            rod_diameter: Some(length / 70.0),
            spacing: None
        }),
        (text(), proptest::option::of(0.5..20.0_f64))
            .prop_map(|(model, open_kv)| { Kind::Energizer(Energizer { model: Some(model), open_kv, ..Energizer::default() }) }),
        (vec(1..9_u32, 0..3), vec(text(), 0..3)).prop_map(|(strands, lines)| Kind::Jumper(Jumper { strands, lines })),
        any::<bool>().prop_map(|open| Kind::Cutout { open }),
        (-90.0..90.0_f64, entry_line()).prop_map(|(kv, of)| Kind::Reading(Reading { kv: Some(kv), of, ..Reading::default() })),
        (text(), proptest::option::of(0.0..1e5_f64), entry_line(), proptest::option::of(text()))
            .prop_map(|(what, ohm, of, parts)| Kind::Fault(Fault { what: Some(what), ohm, of, parts, ..Fault::default() })),
        (text(), entry_line()).prop_map(|(file, of)| Kind::Photo(Photo { file: Some(file), of, ..Photo::default() })),
        Just(Kind::Paddock(Paddock {
            stock: Some("growers".to_owned()),
            purpose: Some(Purpose::Boundary),
            ..Paddock::default()
        })),
        Just(Kind::Water),
        proptest::option::of(length()).prop_map(|diameter| Kind::Tree { diameter }),
    ]
}

fn line() -> impl Strategy<Value = Geometry> {
    (vec(place(), 2..6), any::<bool>()).prop_map(|(mut corners, close)| {
        corners.dedup();
        if corners.len() < 2 {
            corners.push(Position { lon_e9: corners[0].lon_e9 + 5_000_000, ..corners[0] });
        }
        if close && corners.len() > 2 && corners.last() != corners.first() {
            corners.push(corners[0]);
        }
        Geometry::Line(corners)
    })
}

fn shape() -> impl Strategy<Value = (Kind, Geometry)> {
    let area = (place(), 1_i64..9).prop_map(|(at, size)| {
        let corner = |east: i64, north: i64| Position {
            lon_e9: at.lon_e9 + east * size * 1_000_000,
            lat_e9: at.lat_e9 + north * size * 1_000_000,
        };
        Geometry::Area(vec![vec![corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1), corner(0, 0)]])
    });
    let rock = (0.0..1000.0_f64).prop_map(|depth_m| Zone { of: "rock".to_owned(), value: Some(json!(depth_m)) });
    let wet = value().prop_map(|value| Zone { of: "wet".to_owned(), value: Some(value).filter(|it| !it.is_null()) });
    let zone = prop_oneof![rock, wet].prop_map(Kind::Zone);
    prop_oneof![
        4 => (line_kind(), line()),
        3 => (point_kind(), place().prop_map(Geometry::Point)),
        1 => (zone, area),
        1 => (Just(Kind::Other(None)), Just(Geometry::Other(Value::Null))),
    ]
}

fn feature() -> impl Strategy<Value = Feature> {
    let words = (proptest::option::of(text()), proptest::option::of(text()));
    let height =
        vec(prop_oneof![Just(Number::from(212)), Just(serde_json::from_str::<Number>("212.50").expect("a number"))], 0..2);
    (shape(), words, (unknown(), unknown(), unknown()), height).prop_map(|((kind, geometry), (name, note), kept, height)| {
        let mut feature = Feature::new(FeatureId::new("later"), kind, geometry);
        (feature.name, feature.note) = (name, note);
        (feature.extra, feature.foreign, feature.geometry_foreign) = kept;
        let corners = match &feature.geometry {
            Geometry::Point(_) => 1,
            Geometry::Line(corners) => corners.len(),
            Geometry::Area(rings) => rings[0].len(),
            Geometry::Other(_) => {
                feature.geometry_foreign.clear();
                0
            }
        };
        if !height.is_empty() && corners > 0 {
            feature.heights = vec![Vec::new(); corners];
            feature.heights[0] = height;
        }
        feature
    })
}

fn build() -> impl Strategy<Value = Build> {
    let strand = (length(), proptest::option::of(length()), unknown()).prop_map(|(height, band, foreign)| Strand {
        height,
        wire: "ht-14ga".to_owned(),
        live: true,
        band: band.map(|lowest| (lowest.min(Length::metres(3.0)), Length::metres(9.9))),
        foreign,
    });
    let options = (
        proptest::option::of(1.0..9e4_f64),
        prop_oneof![Just(0.0), Just(0.05)],
        any::<bool>(),
        proptest::option::of(0.0..9.0_f64),
    );
    (vec(strand, 0..4), 1.0..20.0_f64, options, unknown()).prop_map(|(mut strands, max_bay_m, options, foreign)| {
        strands.sort_by(|one, other| one.height.as_metres().total_cmp(&other.height.as_metres()));
        let net = options.2.then(|| Net { row: "net-poultry".to_owned(), height: Length::metres(1.2), foreign: Map::new() });
        Build {
            id: "pig-2".to_owned(),
            strands: if net.is_some() { Vec::new() } else { strands },
            net,
            class: options.2.then(|| "fox".to_owned()),
            line_post: "t-post".to_owned(),
            corner_post: "wood-150".to_owned(),
            max_bay: Length::metres(max_bay_m),
            tension: Force::newtons(450.0),
            spring_n_per_m: options.0,
            springs_at_both_ends: options.2,
            drill: Length::metres(options.1),
            permanent: options.2,
            hold_down_cost: options.3,
            foreign,
        }
    })
}

pub(super) fn head() -> impl Strategy<Value = Head> {
    let ground = (proptest::option::of(length()), proptest::option::of(0.1..1e4_f64), unknown());
    let ground = ground.prop_map(|(rock_depth, resistivity_ohm_m, foreign)| GroundChoice {
        rock_depth,
        resistivity_ohm_m,
        foreign,
        ..GroundChoice::default()
    });
    let amounts = || btree_map(text(), 0.0..1000.0_f64, 0..3);
    let shed = || btree_map(text(), vec(0.0..1000.0_f64, 0..4), 0..3);
    let links = vec((text(), unknown()).prop_map(|(file, foreign)| FileLink { file, foreign }), 0..3);
    let numbers = (proptest::option::of(0.0..300.0_f64), proptest::option::of(-1.0..2.0_f64));
    let group = (numbers, any::<bool>(), unknown()).prop_map(|((weight_kg, gain_kg_per_day), dated, foreign)| StockGroup {
        id: "growers".to_owned(),
        species: "pig".to_owned(),
        class: dated.then(|| "grower".to_owned()),
        head: 12,
        weight_kg,
        as_of: dated.then(|| jiff::civil::date(2026, 4, 1)),
        gain_kg_per_day,
        foreign,
    });
    let dates = btree_map(text(), (2000i16..2100, 1i8..13).prop_map(|(year, month)| jiff::civil::date(year, month, 1)), 0..3);
    let prices = (amounts(), dates, unknown()).prop_map(|(items, dates, foreign)| Prices {
        currency: "GBP".to_owned(),
        items,
        dates,
        foreign,
    });
    ((text(), any::<bool>(), ground, links), (build(), group, prices, shed(), unknown())).prop_map(
        |((name, us, ground, elevation), (build, group, prices, on_hand, foreign))| Head {
            name,
            units: if us { UnitSystem::Us } else { UnitSystem::Metric },
            ground,
            elevation,
            builds: vec![build],
            stock: vec![group],
            prices,
            on_hand,
            foreign,
            ..Head::default()
        },
    )
}

/// Any plan.
pub(super) fn plan() -> impl Strategy<Value = Plan> {
    (head(), vec(feature(), 0..12), unknown(), proptest::option::of(text())).prop_map(
        |(mut head, mut features, foreign, aside)| {
            for (index, feature) in features.iter_mut().enumerate() {
                feature.id = match index % 3 {
                    0 => FeatureId::from_number(&Number::from(index)),
                    _ => FeatureId::new(&format!("f \"{index}\"")),
                };
            }
            let laid_out = features.iter().filter(|feature| feature.kind.is_laid_out()).cloned().map(Arc::new);
            let layout = |name| Layout { name, features: laid_out.collect(), foreign: foreign.clone() };
            head.layouts.extend(aside.map(layout));
            Plan { foreign, ..Plan::new(head, features) }
        },
    )
}

/// What an edit is made from, once there is a plan to make it for.
#[derive(Clone, Debug)]
pub(super) struct Whim {
    what: u8,
    which: usize,
    other: usize,
    corner: usize,
    at: Position,
    by: (f64, f64),
    name: Option<String>,
    feature: Feature,
    kind: Kind,
    head: Head,
}

pub(super) fn whims() -> impl Strategy<Value = Vec<Whim>> {
    let whim = (
        (0..13_u8, any::<usize>(), any::<usize>(), 0..6_usize, place()),
        ((-90.0..90.0_f64, -90.0..90.0_f64), proptest::option::of(text()), feature(), line_kind(), head()),
    );
    let whim = whim.prop_map(|((what, which, other, corner, at), (by, name, feature, kind, head))| Whim {
        what,
        which,
        other,
        corner,
        at,
        by,
        name,
        feature,
        kind,
        head,
    });
    vec(whim, 1..12)
}

/// An edit that may or may not be possible.
pub(super) fn edit_of(plan: &Plan, whim: &Whim) -> Edit {
    let whim = whim.clone();
    let pick = |which: usize| match plan.features.len() {
        0 => FeatureId::new("nobody"),
        count => plan.features[which % count].id.clone(),
    };
    let (id, corner, at) = (pick(whim.which), whim.corner, whim.at);
    match whim.what {
        0 => {
            let id = FeatureId::new(&format!("new {}", whim.which));
            Edit::Add(Box::new(Feature { id, ..whim.feature }))
        }
        1 => Edit::Remove(id),
        2 | 3 => Edit::MoveCorner { id, corner, to: at },
        4 => Edit::InsertCorner { id, before: corner, at },
        5 => Edit::RemoveCorner { id, corner },
        6 => {
            let ids = vec![id, pick(whim.other)];
            Edit::MoveFeatures { ids, by: MapPoint::new(whim.by.0, whim.by.1), frame: Frame::near(at) }
        }
        7 => Edit::SetGeometry { id, geometry: whim.feature.geometry },
        8 => Edit::SetKind { id, kind: Box::new(whim.kind) },
        9 => Edit::SetName { id, name: whim.name },
        10 => match plan.feature(&id).and_then(|feature| feature.line()) {
            Some(corners) if corners.len() > corner + 1 => {
                let middle = |one: i64, other: i64| one + (other - one) / 3;
                let at = Position {
                    lon_e9: middle(corners[corner].lon_e9, corners[corner + 1].lon_e9),
                    lat_e9: middle(corners[corner].lat_e9, corners[corner + 1].lat_e9),
                };
                Edit::SplitLine { id, cut: Cut::Leg { leg: corner, at } }
            }
            _ => Edit::SplitLine { id, cut: Cut::Corner(corner) },
        },
        11 => Edit::JoinLines { first: id, second: pick(whim.other) },
        _ => Edit::SetHead(Box::new(whim.head)),
    }
}
