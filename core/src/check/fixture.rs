//! A small ground, a few drawn things and what the rules say about them. Places are metres east and north of the middle of
//! the ground.

use super::{Checked, CheckedLine, Surroundings, WORKING_CELL, check_line, check_plan, sort};
use crate::finding::{Finding, Rule};
use crate::hold::{Bay, Sample, Section, StrandGap};
use crate::land::fixture::grid;
use crate::land::{Frame, Ground, MapPoint, Position};
use crate::plan::{Build, Feature, FeatureId, Fence, Geometry, Head, Kind, Plan, Strand};
use crate::units::{Force, Length};
use std::sync::Arc;

/// Square cells whose heights come from the place.
pub fn ground(cells: usize, cell_m: f64, height: impl Fn(f64, f64) -> f64) -> Ground {
    let middle = 0.5 * (cells as f64 - 1.0);
    let at = |k: usize| (cell_m * ((k % cells) as f64 - middle), cell_m * (middle - (k / cells) as f64));
    let heights = (0..cells * cells).map(at).map(|(east, north)| height(east, north) as f32).collect();
    let grid = grid(cells, cells, cell_m, heights);
    let frame = Ground::frame_of(&grid).expect("in UTM");
    Ground::new(Arc::new(grid), frame).expect("in UTM")
}

/// Flat ground with 1 m cells, 400 m wide.
pub fn flat() -> Ground {
    ground(400, 1.0, |_, _| 100.0)
}

/// A ground and what is drawn on it.
pub struct Scene {
    ground: Ground,
    has_ground: bool,
    drawn: Vec<Feature>,
    bays: Vec<Bay>,
}

impl Scene {
    /// Nothing drawn yet.
    pub fn on(ground: Ground) -> Self {
        Self { ground, has_ground: true, drawn: Vec::new(), bays: Vec::new() }
    }

    /// The same places without an elevation grid.
    pub fn without_grid(mut self) -> Self {
        self.has_ground = false;
        self
    }

    /// A line through these places.
    pub fn line(mut self, kind: Kind, places: &[(f64, f64)]) -> Self {
        let corners = places.iter().map(|place| self.position(*place)).collect();
        self.draw(kind, Geometry::Line(corners));
        self
    }

    /// A fence with the build `two`.
    pub fn fence(self, places: &[(f64, f64)]) -> Self {
        self.line(Kind::Fence(Fence { build: "two".to_owned(), ..Fence::default() }), places)
    }

    /// A point.
    pub fn point(mut self, kind: Kind, place: (f64, f64)) -> Self {
        let at = self.position(place);
        self.draw(kind, Geometry::Point(at));
        self
    }

    /// A bay of every fence, with the least and greatest gap under its two strands.
    pub fn bay(mut self, from_m: f64, to_m: f64, gaps: [(f64, f64); 2]) -> Self {
        let middle = Length::metres(0.5 * (from_m + to_m));
        let strands = gaps.iter().zip([0.2, 0.45]).map(|((lowest, highest), height)| StrandGap {
            height: Length::metres(height),
            lowest_gap: Length::metres(*lowest),
            lowest_gap_at: middle,
            highest_gap: Length::metres(*highest),
            highest_gap_at: middle,
        });
        self.bays.push(Bay { from: Length::metres(from_m), to: Length::metres(to_m), strands: strands.collect() });
        self
    }

    /// What one rule says, in order.
    pub fn say(&self, rule: Rule) -> Vec<Finding> {
        let mut all = self.findings();
        all.retain(|finding| finding.rule == rule);
        all
    }

    /// What all rules say, sorted.
    pub fn findings(&self) -> Vec<Finding> {
        let plan = Plan::new(Head { builds: vec![build()], ..Head::default() }, self.drawn.clone());
        let frame = self.frame();
        let ground = self.has_ground.then_some(&self.ground);
        let smooth = self.ground.smoothed(WORKING_CELL).expect("large enough");
        let surroundings = Surroundings::of(&plan, frame, ground);
        let checked = Checked { plan: &plan, frame, ground, smooth_ground: ground.map(|_| &smooth), surroundings: &surroundings };
        let mut findings = Vec::new();
        for feature in plan.features.iter().filter(|feature| feature.kind.carries_strands()) {
            let section = self.section(feature);
            let build = match &feature.kind {
                Kind::Fence(fence) => plan.build(&fence.build),
                _ => None,
            };
            let line = CheckedLine { feature, build, section: &section, posts: &[], bays: &self.bays };
            findings.extend(check_line(&checked, &line));
        }
        findings.extend(check_plan(&checked));
        sort(&mut findings);
        findings
    }

    fn frame(&self) -> Frame {
        self.ground.frame()
    }

    fn position(&self, (east_m, north_m): (f64, f64)) -> Position {
        let (cells, cell_m) = (self.ground.grid().columns as f64, self.ground.grid().georeference.per_column.0);
        let middle = 0.5 * (cells - 1.0);
        self.frame().to_position(self.ground.to_map(middle + east_m / cell_m, middle - north_m / cell_m))
    }

    fn draw(&mut self, kind: Kind, geometry: Geometry) {
        let id = FeatureId::new(&format!("f{}", self.drawn.len()));
        self.drawn.push(Feature::new(id, kind, geometry));
    }

    fn section(&self, feature: &Feature) -> Section {
        let to_map = |at: &Position| self.frame().to_map(*at).expect("near");
        let corners: Vec<MapPoint> = feature.line().expect("a line").iter().map(to_map).collect();
        let (mut samples, mut at_corners): (Vec<Sample>, _) = (Vec::new(), Vec::new());
        for (index, point) in self.ground.profile(&corners).into_iter().enumerate() {
            let station_m = samples.last().map_or(0.0, |last: &Sample| {
                let rise_m = point.ground_m.zip(last.ground_m).map_or(0.0, |(here, before)| here - before);
                last.station_m + (point.plan_m - last.plan_m).hypot(rise_m)
            });
            samples.push(Sample { at: point.at, plan_m: point.plan_m, station_m, ground_m: point.ground_m });
            at_corners.extend(point.corner.map(|_| index));
        }
        Section { line: feature.id.clone(), samples, corners: at_corners, closed: false }
    }
}

/// Two strands at 0.20 and 0.45 m, bays up to 8 m.
fn build() -> Build {
    let strand = |height_m: f64| Strand {
        height: Length::metres(height_m),
        wire: "ht-14ga".to_owned(),
        live: true,
        band: None,
        foreign: Default::default(),
    };
    Build {
        id: "two".to_owned(),
        strands: vec![strand(0.2), strand(0.45)],
        line_post: "t-post".to_owned(),
        corner_post: "wood-150".to_owned(),
        max_bay: Length::metres(8.0),
        tension: Force::newtons(450.0),
        foreign: Default::default(),
    }
}
