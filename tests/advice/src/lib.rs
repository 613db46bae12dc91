//! Small plans, named for what they are: one paddock of 200 m by 200 m or one straight line, on ground that gathers no water.

use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Finding, Purpose};
use hillwire_core::land::{Crs, CrsKind, Georeference, Grid, Ground, Position};
use hillwire_core::outcome::{Kept, Outcome, outcome_on};
use hillwire_core::plan::{
    Build, CornerChoice, Energizer, Feature, FeatureId, Fence, Gate, Geometry, Head, Kind, LeadOut, Paddock, Plan, StockGroup,
    Strand, Track,
};
use hillwire_core::units::{Force, Length};
use jiff::civil::date;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

/// Cells of the ground, and how wide each is, metres.
const CELLS: usize = 420;
const CELL_M: f64 = 2.0;
/// Half a side of the paddock, metres.
pub const HALF_M: f64 = 100.0;

/// How the ground lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lie {
    /// A broad back of land, 2 in 100 steep at the paddock's fence: water runs off it on all sides and gathers nowhere.
    Smooth,
    /// The same with humps and hollows of half a metre, each some forty metres across.
    Rough,
}

impl Lie {
    /// That ground.
    pub fn ground(self) -> &'static Ground {
        static GROUNDS: [OnceLock<Ground>; 2] = [OnceLock::new(), OnceLock::new()];
        GROUNDS[self as usize].get_or_init(|| self.made())
    }

    fn made(self) -> Ground {
        let middle = 0.5 * (CELLS as f64 - 1.0);
        let hump_m = if self == Self::Rough { 0.5 } else { 0.0 };
        let height = |k: usize| {
            let (east_m, north_m) = (((k % CELLS) as f64 - middle) * CELL_M, ((k / CELLS) as f64 - middle) * CELL_M);
            let humps_m = hump_m * (east_m / 6.0).sin() * (north_m / 7.0).cos();
            (300.0 - 1e-4 * (east_m * east_m + north_m * north_m) + humps_m) as f32
        };
        let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
        let georeference =
            Georeference { origin: (500_000.0, 5_000_000.0), per_column: (CELL_M, 0.0), per_row: (0.0, -CELL_M), crs };
        let heights_m = (0..CELLS * CELLS).map(height).collect();
        let grid = Grid { columns: CELLS, rows: CELLS, georeference, heights_m, notes: Vec::new() };
        let frame = Ground::frame_of(&grid).expect("in UTM");
        Ground::new(Arc::new(grid), frame).expect("in UTM")
    }
}

/// A place so many metres east and north of the middle.
fn place((east_m, north_m): (f64, f64)) -> Position {
    let middle = 0.5 * (CELLS as f64 - 1.0);
    let ground = Lie::Smooth.ground();
    ground.frame().to_position(ground.to_map(middle + east_m / CELL_M, middle - north_m / CELL_M))
}

/// A build of these strands, all live: permanent, on 100 mm posts with 150 mm ones where the strands pull, springs in them.
pub fn build(heights_m: &[f64], wire: &str, tension_n: f64) -> Build {
    Build {
        id: "b".to_owned(),
        strands: heights_m.iter().map(|height| Strand::live(Length::metres(*height), wire)).collect(),
        line_post: "wood-100".to_owned(),
        corner_post: "wood-150".to_owned(),
        max_bay: Length::metres(10.0),
        tension: Force::newtons(tension_n),
        spring_n_per_m: Some(3000.0),
        permanent: true,
        ..Build::default()
    }
}

/// One fence with what belongs to it: a plan that can be changed before it is judged.
#[derive(Clone, Debug)]
pub struct Farm {
    head: Head,
    course: Vec<(f64, f64)>,
    fence: Fence,
    stock: Option<StockGroup>,
    gate_m: Option<f64>,
    track: Option<(f64, f64)>,
    energizer: &'static str,
}

impl Farm {
    /// A closed paddock of that build, every corner braced, with a gate of 3.6 m in its south side and a track along that side.
    pub fn paddock(build: Build) -> Self {
        let h = HALF_M;
        let course = vec![(-h, -h), (h, -h), (h, h), (-h, h), (-h, -h)];
        Self::of(build, course, Some(3.6))
    }

    /// One straight line of that build and length, its ends braced.
    pub fn straight(build: Build, length_m: f64) -> Self {
        Self::of(build, vec![(-length_m / 2.0, -HALF_M), (length_m / 2.0, -HALF_M)], None)
    }

    /// A line of that build through these places, every corner braced.
    pub fn of(build: Build, course: Vec<(f64, f64)>, gate_m: Option<f64>) -> Self {
        let braced = |corner| (corner, CornerChoice { brace: Some(true), ..CornerChoice::default() });
        let corners: BTreeMap<usize, CornerChoice> = (0..course.len()).map(braced).collect();
        let fence = Fence { build: build.id.clone(), corners, purpose: Some(Purpose::Interior), ..Fence::default() };
        let head = Head { builds: vec![build], ..Head::default() };
        Self { head, course, fence, stock: None, gate_m, track: Some((-HALF_M - 12.0, 3.0)), energizer: "medium" }
    }

    /// What is kept in it.
    #[must_use]
    pub fn keeping(mut self, species: &str, head: u32, weight_kg: f64) -> Self {
        let as_of = Some(date(2026, 4, 1));
        let group = StockGroup { id: "s".to_owned(), species: species.to_owned(), head, ..StockGroup::default() };
        self.stock = Some(StockGroup { weight_kg: Some(weight_kg), as_of, gain_kg_per_day: Some(0.0), ..group });
        self
    }

    /// The same of this class.
    #[must_use]
    pub fn classed(mut self, class: &str) -> Self {
        self.stock.iter_mut().for_each(|stock| stock.class = Some(class.to_owned()));
        self
    }

    /// The same of this class, at this purpose.
    #[must_use]
    pub fn of_class(self, class: &str, purpose: Purpose) -> Self {
        self.classed(class).fenced(|fence| fence.purpose = Some(purpose))
    }

    /// The same with another energizer.
    #[must_use]
    pub fn driven_by(mut self, model: &'static str) -> Self {
        self.energizer = model;
        self
    }

    /// The same with its build changed.
    #[must_use]
    pub fn built(mut self, change: impl Fn(&mut Build)) -> Self {
        self.head.builds.iter_mut().for_each(change);
        self
    }

    /// The same with its fence changed.
    #[must_use]
    pub fn fenced(mut self, change: impl Fn(&mut Fence)) -> Self {
        change(&mut self.fence);
        self
    }

    /// The same with the head of its plan changed.
    #[must_use]
    pub fn with(mut self, change: impl Fn(&mut Head)) -> Self {
        change(&mut self.head);
        self
    }

    /// The same with a gate of another width.
    #[must_use]
    pub fn gate(mut self, width_m: f64) -> Self {
        self.gate_m = Some(width_m);
        self
    }

    /// The same with its track so many metres farther south.
    #[must_use]
    pub fn track_off(mut self, by_m: f64) -> Self {
        self.track = Some((-HALF_M - by_m, 3.0));
        self
    }

    /// The plan.
    pub fn plan(&self) -> Plan {
        let corners: Vec<Position> = self.course.iter().map(|at| place(*at)).collect();
        let feature = |id: &str, kind, geometry| Feature::new(FeatureId::new(id), kind, geometry);
        let point = |id: &str, kind, at| feature(id, kind, Geometry::Point(place(at)));
        let first = self.course[0];
        let shed = (first.0 - 20.0, first.1 - 2.0);
        let mut features = vec![
            feature("f", Kind::Fence(self.fence.clone()), Geometry::Line(corners)),
            point("en", Kind::Energizer(Energizer { model: Some(self.energizer.to_owned()), ..Energizer::default() }), shed),
            point(
                "ea",
                Kind::Earth { rods: Some(6), rod_length: None, rod_diameter: None, spacing: None },
                (shed.0 - 15.0, shed.1),
            ),
            feature(
                "lo",
                Kind::LeadOut(LeadOut { underground: true, ..LeadOut::default() }),
                Geometry::Line(vec![place(shed), place(first)]),
            ),
        ];
        if let Some(width_m) = self.gate_m {
            let gate = Gate { width: Some(Length::metres(width_m)), live: Some(true), ..Gate::default() };
            features.push(point("g", Kind::Gate(gate), (0.0, -HALF_M)));
        }
        if let Some((north_m, width_m)) = self.track {
            let track = Track {
                surface: Some("stone".to_owned()),
                width: Some(Length::metres(width_m)),
                vehicle: Some("tractor".to_owned()),
            };
            features.push(feature(
                "t",
                Kind::Track(track),
                Geometry::Line(vec![place((-200.0, north_m)), place((200.0, north_m))]),
            ));
        }
        if let Some(stock) = &self.stock {
            let paddock = Paddock { stock: Some(stock.id.clone()), purpose: self.fence.purpose, ..Paddock::default() };
            features.push(point("p", Kind::Paddock(paddock), (10.0, 0.0)));
            features.push(point("w", Kind::Water, (20.0, -10.0)));
        }
        let head = Head { stock: self.stock.iter().cloned().collect(), ..self.head.clone() };
        Plan::new(head, features)
    }

    /// What follows from it.
    pub fn outcome(&self) -> Outcome {
        outcome_on_ground(&self.plan(), Lie::Smooth)
    }
}

/// What follows from a plan on that ground.
pub fn outcome_on_ground(plan: &Plan, lie: Lie) -> Outcome {
    outcome_on(Some(date(2026, 4, 1)), plan, 1, Some(lie.ground()), Catalogue::built_in(), &mut Kept::new())
}

/// A finding as one line: weight, rule, place.
pub fn told(finding: &Finding) -> String {
    let station = finding.place.station.map_or(String::new(), |station| format!(" at {:.1} m", station.as_metres()));
    let limit = finding.limit.map_or(String::new(), |limit| format!(" {:.3} of {limit:.3}", finding.value));
    format!("{:?} {:?}{station}{limit}", finding.weight, finding.rule)
}
