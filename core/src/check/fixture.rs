//! A small ground, a few drawn things and what the rules say about them. Places are metres east and north of the middle of
//! the ground.

use super::{Checked, CheckedLine, LineRole, Surroundings, WORKING_CELL, check_line, check_plan, held_rows, sort};
use crate::catalogue::Catalogue;
use crate::finding::{Finding, Rule};
use crate::hold::{Bay, FootingMap, LineHold, Section, StrandGap, Terrain, line_hold, section, specification_of};
use crate::land::fixture::grid;
use crate::land::{Frame, Ground, MapPoint, Position};
use crate::plan::{
    Build, Feature, FeatureId, Fence, Geometry, GroundChoice, Head, Kind, Plan, Season, StockGroup, Strand, paddocks,
};
use crate::site::{HillRunners, Reach, Tracks, Water, working_extent};
use crate::units::{Force, Length};
use jiff::civil::Date;
use std::sync::{Arc, OnceLock};

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
    static FLAT: OnceLock<Ground> = OnceLock::new();
    FLAT.get_or_init(|| ground(400, 1.0, |_, _| 100.0)).clone()
}

/// A ground and what is drawn on it.
pub struct Scene {
    ground: Ground,
    has_ground: bool,
    drawn: Vec<Feature>,
    bays: Vec<Bay>,
    error: Length,
    rock_depth: Option<Length>,
    stock: Vec<StockGroup>,
    on: Option<Date>,
    season: Season,
    wire: &'static str,
    barbed_above: Option<Length>,
    corner_post: &'static str,
    strands: Vec<f64>,
    /// Tension of each strand.
    pub tension: Force,
}

impl Scene {
    /// Nothing drawn yet.
    pub fn on(ground: Ground) -> Self {
        Self {
            ground,
            has_ground: true,
            drawn: Vec::new(),
            bays: Vec::new(),
            error: Length::ZERO,
            rock_depth: None,
            stock: Vec::new(),
            on: None,
            season: Season::default(),
            wire: "ht-14ga",
            barbed_above: None,
            corner_post: "wood-150",
            strands: vec![0.2, 0.45],
            tension: Force::newtons(450.0),
        }
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

    /// An area with these corners.
    pub fn area(mut self, kind: Kind, places: &[(f64, f64)]) -> Self {
        let ring = places.iter().chain(places.first()).map(|place| self.position(*place)).collect();
        self.draw(kind, Geometry::Area(vec![ring]));
        self
    }

    /// The same places with rock at this depth everywhere.
    pub fn on_rock(mut self, depth_m: f64) -> Self {
        self.rock_depth = Some(Length::metres(depth_m));
        self
    }

    /// The season.
    pub fn through(mut self, season: Season) -> Self {
        self.season = season;
        self
    }
    /// The wire of all strands.
    pub fn with_wire(mut self, wire: &'static str) -> Self {
        self.wire = wire;
        self
    }
    /// A barbed strand that is not live, so far above the highest.
    pub fn with_barbed(mut self, above_m: f64) -> Self {
        self.barbed_above = Some(Length::metres(above_m));
        self
    }
    /// The corner posts.
    pub fn with_corner_post(mut self, post: &'static str) -> Self {
        self.corner_post = post;
        self
    }

    /// Strands at these heights, metres, in the place of the usual two.
    pub fn with_strands(mut self, heights_m: &[f64]) -> Self {
        self.strands = heights_m.to_vec();
        self
    }

    /// The stock, and the day for which it is judged.
    pub fn keeping(mut self, stock: &[StockGroup], on: Option<Date>) -> Self {
        self.stock = stock.to_vec();
        self.on = on;
        self
    }

    /// How far the clearances of the bays that follow may be off.
    pub fn unsure_by(mut self, error_m: f64) -> Self {
        self.error = Length::metres(error_m);
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
        let (from, to) = (Length::metres(from_m), Length::metres(to_m));
        self.bays.push(Bay {
            from,
            to,
            strands: strands.collect(),
            gate: None,
            tension_share: 1.0,
            error: self.error,
            cross_slope: None,
        });
        self
    }

    /// What one rule says, in order.
    pub fn say(&self, rule: Rule) -> Vec<Finding> {
        let mut all = self.findings();
        all.retain(|finding| finding.rule == rule);
        all
    }

    /// What is said of its tracks.
    pub fn tracks(&self) -> Tracks {
        Tracks::of(&Plan::new(Head::default(), self.drawn.clone()), self.frame(), Some(&self.ground))
    }

    /// Strikes of all lines in a year, of one start on every hectare of wood.
    pub fn strikes(&self) -> f64 {
        let plan = Plan::new(Head::default(), self.drawn.clone());
        let runners = self.runners(&plan).expect("ground");
        let lines = plan.features.iter().filter(|feature| feature.kind.carries_strands());
        lines.map(|feature| runners.along(&self.section(feature)).strikes()).sum()
    }

    fn runners(&self, plan: &Plan) -> Option<HillRunners> {
        let within = working_extent(plan, self.frame(), &self.ground).filter(|_| self.has_ground)?;
        HillRunners::of(plan, self.frame(), &self.ground, within)
    }

    fn water(&self, plan: &Plan) -> Option<Water> {
        let within = working_extent(plan, self.frame(), &self.ground).filter(|_| self.has_ground)?;
        Water::of(plan, self.frame(), &self.ground, within)
    }

    /// What all rules say, sorted.
    pub fn findings(&self) -> Vec<Finding> {
        let head = Head {
            builds: vec![self.build()],
            season: self.season.clone(),
            stock: self.stock.clone(),
            ground: GroundChoice { rock_depth: self.rock_depth, ..GroundChoice::default() },
            ..Head::default()
        };
        let plan = Plan::new(head, self.drawn.clone());
        let catalogue = Catalogue::built_in();
        let frame = self.frame();
        let ground = self.has_ground.then_some(&self.ground);
        let smooth = self.ground.smoothed(WORKING_CELL).expect("large enough");
        let surroundings = Surroundings::of(&plan, frame);
        let reach = Reach::of(&plan, frame, ground);
        let footings = FootingMap::of(&plan, frame, catalogue).expect("loam");
        let paddocks = paddocks(&plan, frame);
        let (water, runners) = (self.water(&plan), self.runners(&plan));
        let checked = Checked {
            plan: &plan,
            catalogue,
            frame,
            ground,
            smooth_ground: ground.map(|_| &smooth),
            footings: Some(&footings),
            surroundings: &surroundings,
            reach: &reach,
            water: water.as_ref(),
            runners: runners.as_ref(),
            paddocks: &paddocks,
            power: None,
            held: &[],
            on: self.on,
        };
        let mut findings = Vec::new();
        let mut rows = Vec::new();
        for feature in plan.features.iter().filter(|feature| feature.kind.carries_strands()) {
            let section = self.section(feature);
            let build = match &feature.kind {
                Kind::Fence(fence) => plan.build(&fence.build),
                _ => None,
            };
            let role = LineRole::of(&checked, feature);
            let terrain = Terrain { footings: &footings, ground, clearance: role.clearance, placed: None };
            let held = line_hold(&plan, feature, &section, &[], terrain, catalogue).expect("listed");
            let hold = LineHold { bays: self.bays.clone(), ..held };
            let specification = specification_of(&plan, feature, hold.longest_strain, catalogue).ok();
            let reached = reach.line(&section, Length::metres(0.45), None);
            let runs = runners.as_ref().map(|runners| runners.along(&section));
            let line = CheckedLine {
                feature,
                build,
                specification: specification.as_ref(),
                behind: role.behind(),
                section: &section,
                hold: &hold,
                reach: reached.as_ref(),
                runs: runs.as_ref(),
            };
            findings.extend(check_line(&checked, &line, None));
            rows.extend(held_rows(&checked, &line));
        }
        findings.extend(check_plan(&Checked { held: &rows, ..checked }));
        sort(&mut findings);
        findings
    }

    /// Two strands at 0.20 and 0.45 m, bays up to 8 m.
    fn build(&self) -> Build {
        let strand = |height_m: f64| Strand::live(Length::metres(height_m), self.wire);
        let barbed =
            self.barbed_above.map(|above| Strand { live: false, ..Strand::live(Length::metres(0.45) + above, "barbed") });
        Build {
            id: "two".to_owned(),
            strands: self.strands.iter().copied().map(strand).chain(barbed).collect(),
            line_post: "t-post".to_owned(),
            corner_post: self.corner_post.to_owned(),
            max_bay: Length::metres(8.0),
            tension: self.tension,
            ..Build::default()
        }
    }

    fn frame(&self) -> Frame {
        self.ground.frame()
    }

    /// Where on the globe a place is.
    pub fn position(&self, (east_m, north_m): (f64, f64)) -> Position {
        let (cells, cell_m) = (self.ground.grid().columns as f64, self.ground.grid().georeference.per_column.0);
        let middle = 0.5 * (cells - 1.0);
        self.frame().to_position(self.ground.to_map(middle + east_m / cell_m, middle - north_m / cell_m))
    }

    /// Anything, wherever it is.
    pub fn draw(&mut self, kind: Kind, geometry: Geometry) {
        let id = FeatureId::new(&format!("f{}", self.drawn.len()));
        self.drawn.push(Feature::new(id, kind, geometry));
    }

    fn section(&self, feature: &Feature) -> Section {
        let to_map = |at: &Position| self.frame().to_map(*at).expect("near");
        let corners: Vec<MapPoint> = feature.line().expect("a line").iter().map(to_map).collect();
        section(&feature.id, &corners, self.has_ground.then_some(&self.ground), &[])
    }
}
