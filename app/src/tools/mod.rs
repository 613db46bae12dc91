//! What the pointer does on the map: choosing, drawing lines and areas, setting points. State machines over map points.

pub mod draw;
pub mod posts;
pub mod snap;

use hillwire_core::land::MapPoint;
use hillwire_core::plan::{Energizer, Fault, Fence, Gate, Jumper, Kind, LeadOut, Paddock, Photo, Plan, Reading, Track, Zone};
use hillwire_core::units::Elevation;
use jiff::civil::Date;

/// A tool to take in hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ToolKind {
    /// Select, move, reshape.
    Choose,
    /// Draw a line or an area corner by corner.
    Draw(Drawn),
    /// Set a point.
    Set(Point),
}

/// Lines and areas that can be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drawn {
    /// A fence line.
    Fence,
    /// The insulated run to the fence.
    LeadOut,
    /// A wire that joins two lines.
    JumperWire,
    /// A track.
    Track,
    /// A stream.
    Stream,
    /// A public way.
    PublicWay,
    /// An overhead power line.
    OverheadLine,
    /// The edge of the holding.
    Boundary,
    /// Ground with rock close under it.
    RockZone,
    /// Wet ground.
    WetZone,
    /// Woodland.
    WoodZone,
    /// Ground of another soil.
    SoilZone,
    /// Ground to keep out of.
    KeepOutZone,
}

/// Points that can be set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Point {
    /// A gate in a fence.
    Gate,
    /// A paddock.
    Paddock,
    /// The energizer.
    Energizer,
    /// The earth rods.
    Earth,
    /// A switch in a line.
    Cutout,
    /// What joins strands, or lines that meet.
    Jumper,
    /// A voltmeter value.
    Reading,
    /// Something wrong on a line.
    Fault,
    /// A running animal hit a line.
    Strike,
    /// A photograph.
    Photo,
    /// The building with mains.
    Building,
    /// Drinking water.
    Water,
    /// A height that somebody measured.
    SpotHeight,
    /// A place where a bar met rock.
    Probe,
    /// A living tree.
    Tree,
    /// A mark.
    Mark,
}

/// Everything that can be drawn, in the order of the list.
pub const DRAWN: &[Drawn] = &[
    Drawn::Fence,
    Drawn::LeadOut,
    Drawn::JumperWire,
    Drawn::Track,
    Drawn::Stream,
    Drawn::PublicWay,
    Drawn::OverheadLine,
    Drawn::Boundary,
    Drawn::RockZone,
    Drawn::WetZone,
    Drawn::WoodZone,
    Drawn::SoilZone,
    Drawn::KeepOutZone,
];

/// Everything that can be set, in the order of the list.
pub const POINTS: &[Point] = &[
    Point::Gate,
    Point::Paddock,
    Point::Energizer,
    Point::Earth,
    Point::Cutout,
    Point::Jumper,
    Point::Reading,
    Point::Fault,
    Point::Strike,
    Point::Photo,
    Point::Building,
    Point::Water,
    Point::SpotHeight,
    Point::Probe,
    Point::Tree,
    Point::Mark,
];

/// Those of them that belong to the pulse, in the order of their list.
pub const POWER_POINTS: &[Point] =
    &[Point::Energizer, Point::Earth, Point::Cutout, Point::Jumper, Point::Reading, Point::Fault, Point::Strike, Point::Photo];

impl ToolKind {
    /// What to do with it; nothing to say about selecting.
    pub fn tip(self) -> Option<&'static str> {
        match self {
            Self::Choose => None,
            Self::Draw(drawn) => Some(drawn.tip()),
            Self::Set(point) => Some(point.tip()),
        }
    }
}

impl Drawn {
    /// What its button says.
    pub fn text(self) -> &'static str {
        match self {
            Self::Fence => "Fence line",
            Self::LeadOut => "Lead-out",
            Self::JumperWire => "Jumper between lines",
            Self::Track => "Track",
            Self::Stream => "Stream",
            Self::PublicWay => "Public way",
            Self::OverheadLine => "Overhead line",
            Self::Boundary => "Boundary",
            Self::RockZone => "Shallow rock",
            Self::WetZone => "Wet ground",
            Self::WoodZone => "Woodland",
            Self::SoilZone => "Another soil",
            Self::KeepOutZone => "Ground to keep out of",
        }
    }

    /// What hovering over its button explains.
    pub fn tip(self) -> &'static str {
        match self {
            Self::Fence => "One continuous fence from end to end. Click its corners; Enter or a double click ends it",
            Self::LeadOut => "The insulated run that carries the pulse from the energizer to the fence",
            Self::JumperWire => "An insulated wire that joins two lines: draw it from the one to the other",
            Self::Track => "Where a vehicle can go",
            Self::Stream => "Running water, all year or in part of it",
            Self::PublicWay => "A path or road that the public may use",
            Self::OverheadLine => "A power line overhead: keep wires and tall machines away from it",
            Self::Boundary => "Where the holding ends",
            Self::RockZone => "Ground where a post meets rock at a known depth",
            Self::WetZone => "Ground that is soft or wet",
            Self::WoodZone => "Trees: leaves and branches on the wire",
            Self::SoilZone => "Ground of another soil than the rest of the plan",
            Self::KeepOutZone => "Ground where no post shall stand and no line be led: a badger sett, old mine, dug drain",
        }
    }

    /// Whether it is an area.
    pub fn is_area(self) -> bool {
        matches!(self, Self::RockZone | Self::WetZone | Self::WoodZone | Self::SoilZone | Self::KeepOutZone)
    }

    /// The kind of feature it makes, with the choices a new one starts with.
    pub fn kind(self, plan: &Plan) -> Kind {
        let zone =
            |of: &str, value: Option<f64>| Kind::Zone(Zone { of: of.to_owned(), value: value.map(serde_json::Value::from) });
        match self {
            Self::Fence => Kind::Fence(Fence { build: first_build(plan), ..Fence::default() }),
            Self::LeadOut => Kind::LeadOut(LeadOut::default()),
            Self::JumperWire => Kind::Jumper(Jumper::default()),
            Self::Track => Kind::Track(Track::default()),
            Self::Stream => Kind::Stream { width: None, seasonal: false, culvert: false },
            Self::PublicWay => Kind::PublicWay { use_by: None },
            Self::OverheadLine => Kind::OverheadLine { kv: None, wire_height: None },
            Self::Boundary => Kind::Boundary { neighbour: None },
            Self::RockZone => zone("rock", Some(0.3)),
            Self::WetZone => zone("wet", None),
            Self::WoodZone => zone("wood", None),
            Self::SoilZone => Kind::Zone(Zone { of: "soil".to_owned(), value: Some(plan.head.ground.soil.as_str().into()) }),
            Self::KeepOutZone => zone("keep_out", None),
        }
    }
}

fn first_build(plan: &Plan) -> String {
    plan.head.builds.first().map(|build| build.id.clone()).unwrap_or_default()
}

/// What a new probe says until its depth is typed, metres.
pub const PROBED_M: f64 = 0.25;
/// How far around a probe holds, metres (`common-practice`: rock changes within a few paces).
const PROBE_REACH_M: f64 = 5.0;
/// Corners of the disc around a probe.
const DISC_CORNERS: u32 = 16;

impl Point {
    /// The outline of the ground that it stands for; `None` for what is a point.
    pub fn outline(self, at: MapPoint) -> Option<Vec<MapPoint>> {
        let corner = |k: u32| {
            let turn = std::f64::consts::TAU * f64::from(k % DISC_CORNERS) / f64::from(DISC_CORNERS);
            MapPoint::new(at.x_m + PROBE_REACH_M * turn.cos(), at.y_m + PROBE_REACH_M * turn.sin())
        };
        (self == Self::Probe).then(|| (0..=DISC_CORNERS).map(corner).collect())
    }

    /// What its button says.
    pub fn text(self) -> &'static str {
        match self {
            Self::Gate => "Gate",
            Self::Paddock => "Paddock",
            Self::Energizer => "Energizer",
            Self::Earth => "Earth rods",
            Self::Cutout => "Cut-out switch",
            Self::Jumper => "Jumper",
            Self::Reading => "Reading",
            Self::Fault => "Fault",
            Self::Strike => "Strike",
            Self::Photo => "Photo",
            Self::Building => "Building",
            Self::Water => "Water",
            Self::SpotHeight => "Measured height",
            Self::Probe => "Probed rock",
            Self::Tree => "Tree",
            Self::Mark => "Mark",
        }
    }

    /// What hovering over its button explains.
    pub fn tip(self) -> &'static str {
        match self {
            Self::Gate => "An opening in a fence. Click the fence where it shall be",
            Self::Paddock => "Click inside ground that fence lines enclose: it gets an area and an edge",
            Self::Energizer => "Where the unit that makes the pulse stands",
            Self::Earth => "Where the earth rods of the energizer stand",
            Self::Cutout => "A switch that takes what lies behind it out of circuit. Click the line where it shall be",
            Self::Jumper => "A short wire that joins strands, or lines that meet. Click the line where it shall be",
            Self::Reading => "A voltmeter value. Click the line where you took it",
            Self::Fault => "Something wrong: a branch on a strand, a broken strand, a bad joint. Click the line where it is",
            Self::Strike => "A running animal hit the fence here. Click the line where it did",
            Self::Photo => "A photograph that you took. Click where you stood, or the line that it shows",
            Self::Building => "A building, with mains electricity or without",
            Self::Water => "Drinking water",
            Self::SpotHeight => {
                "A height of the ground that you measured, where the elevation grid is wrong: a dip it does not show, a new bank"
            }
            Self::Probe => "Where a bar met rock: it holds for 5 m around; say how deep on its card",
            Self::Tree => {
                "A living tree, thick enough to carry strands: where a line passes within 0.3 m of it, no post is needed"
            }
            Self::Mark => "Anything you want to find again: an old stump, a badger run, a place to turn round",
        }
    }

    /// What it stands in, when it stands in a line: the word for that.
    pub fn stands_in(self) -> Option<&'static str> {
        match self {
            Self::Gate => Some("a fence"),
            Self::Cutout | Self::Jumper | Self::Reading | Self::Fault | Self::Strike => Some("a fence or a lead-out"),
            _ => None,
        }
    }

    /// Whether a line of this kind can be what it stands in.
    pub fn can_stand_in(self, line: &Kind) -> bool {
        match self {
            Self::Gate => matches!(line, Kind::Fence(_)),
            _ => line.carries_strands(),
        }
    }

    /// The kind of feature it makes, where the ground in the elevation grid has this height; `None` for a measured height where it has none.
    /// What was seen or measured has a day: this one.
    pub fn kind(self, ground: Option<Elevation>, today: Date) -> Option<Kind> {
        let day = Some(today.to_string());
        Some(match self {
            Self::Gate => Kind::Gate(Gate::default()),
            Self::Paddock => Kind::Paddock(Paddock::default()),
            Self::Energizer => Kind::Energizer(Energizer::default()),
            Self::Earth => Kind::Earth { rods: None, rod_length: None, rod_diameter: None, spacing: None },
            Self::Cutout => Kind::Cutout { open: false },
            Self::Jumper => Kind::Jumper(Jumper::default()),
            Self::Reading => Kind::Reading(Reading { at_time: day, energizer_on: Some(true), ..Reading::default() }),
            Self::Fault => Kind::Fault(Fault { what: Some("contact".to_owned()), seen: day, ..Fault::default() }),
            Self::Strike => {
                Kind::Fault(Fault { what: Some("strike".to_owned()), mended: day.clone(), seen: day, ..Fault::default() })
            }
            Self::Photo => Kind::Photo(Photo { at_time: day, ..Photo::default() }),
            Self::Building => Kind::Building { mains: false },
            Self::Water => Kind::Water,
            Self::SpotHeight => Kind::SpotHeight { height: ground? },
            Self::Probe => Kind::Zone(Zone { of: "rock".to_owned(), value: Some(PROBED_M.into()) }),
            Self::Tree => Kind::Tree { diameter: None },
            Self::Mark => Kind::Mark,
        })
    }
}
