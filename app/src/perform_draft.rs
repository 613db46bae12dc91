//! A line under the pen stands in the plan while it is drawn, inside one open change: so all its consequences are live,
//! and giving up leaves no trace.

use crate::clock::today;
use crate::session::{Selection, Session};
use crate::shapes::Shape;
use crate::tools::draw::{After, Draft, bearing_deg, leg_end};
use crate::tools::snap::nearest_on_leg;
use crate::tools::{Point, ToolKind};
use hillwire_core::land::{MapPoint, Position};
use hillwire_core::plan::{Edit, Feature, FeatureId, FreshIds, Geometry, Gesture, Kind, Plan, UnitSystem};
use hillwire_core::units::{FOOT_M, Length};
use std::collections::HashSet;

/// What the keeper did to the line under the pen.
#[derive(Clone, Copy, Debug)]
pub enum Stroke {
    /// The pointer moved.
    Moved(MapPoint),
    /// The pointer left the map: no corner is to come.
    Left,
    /// A corner was set.
    Clicked(MapPoint),
    /// It shall end here.
    Ended,
    /// The last corner, or the last digit, goes away.
    TakenBack,
    /// A digit, a decimal mark or the space between length and bearing.
    Typed(char),
}

impl Session {
    /// Goes on with the line under the pen.
    pub fn stroke(&mut self, stroke: Stroke) {
        let Some(mut draft) = self.draft.take() else { return };
        let changes_nothing = match stroke {
            Stroke::Moved(at) => draft.pointer == Some(at),
            Stroke::Left => draft.pointer.is_none(),
            // A click beside a sheet that waits for an answer sets no corner.
            Stroke::Clicked(_) => self.sheet.is_some(),
            _ => false,
        };
        if changes_nothing {
            self.draft = Some(draft);
            return;
        }
        let after = match stroke {
            Stroke::Moved(at) => {
                draft.moved(at);
                After::GoesOn
            }
            Stroke::Left => {
                draft.pointer = None;
                After::GoesOn
            }
            Stroke::Clicked(at) => draft.clicked(at),
            Stroke::Ended if draft.typed_leg().is_some() => self.set_typed_leg(&mut draft),
            Stroke::Ended => draft.ended(),
            Stroke::TakenBack => draft.taken_back(),
            Stroke::Typed(typed) => {
                draft.typed_char(typed);
                After::GoesOn
            }
        };
        match after {
            After::GoesOn => {
                self.show_draft(&draft, draft.shape());
                self.draft = Some(draft);
            }
            After::Done => {
                self.show_draft(&draft, draft.finished());
                self.finish_draft();
            }
            After::Gone => {
                self.drop_draft();
                self.tool = ToolKind::Choose;
            }
        }
    }

    /// Takes the corner to come out of the plan: what is counted, shown and written meanwhile has the corners that were set.
    pub(crate) fn settle_draft(&mut self) {
        self.stroke(Stroke::Left);
    }

    /// Ends the line under the pen as Enter does: what was set of it stays.
    pub(crate) fn end_draft(&mut self) {
        if let Some(draft) = &mut self.draft {
            draft.typed.clear();
            self.stroke(Stroke::Ended);
        }
    }

    /// The plan as it is kept while a line is drawn: with the corners that were set; `None` while none is drawn.
    pub(crate) fn plan_with_draft(&self) -> Option<Plan> {
        let (draft, id) = (self.draft.as_ref()?, self.draft_id.as_ref()?);
        let corners = draft.finished().map(|corners| corners.into_iter().map(|corner| self.position(corner)).collect::<Vec<_>>());
        let edit = match corners {
            Some(corners) if draft.drawn.is_area() => {
                Edit::SetGeometry { id: id.clone(), geometry: Geometry::Area(vec![corners]) }
            }
            Some(corners) => Edit::SetGeometry { id: id.clone(), geometry: Geometry::Line(corners) },
            None => Edit::Remove(id.clone()),
        };
        edit.apply(self.plan()).ok()
    }

    fn finish_draft(&mut self) {
        self.draft = None;
        self.tool = ToolKind::Choose;
        if let Some(id) = self.draft_id.take() {
            self.history.commit();
            self.selection = Selection::of(id);
        }
    }

    /// Puts the corners of the line under the pen into the plan.
    fn show_draft(&mut self, draft: &Draft, corners: Option<Vec<MapPoint>>) {
        let Some(corners) = corners else {
            if self.draft_id.take().is_some() {
                self.history.abandon();
            }
            return;
        };
        let corners: Vec<Position> = corners.into_iter().map(|corner| self.position(corner)).collect();
        let geometry = if draft.drawn.is_area() { Geometry::Area(vec![corners]) } else { Geometry::Line(corners) };
        let kind = draft.drawn.kind(self.plan());
        let id = match self.draft_id.clone() {
            Some(id) => id,
            None => {
                let id = fresh_id(self.plan(), &kind);
                self.history.begin(Gesture::Drew { kind: kind.word().unwrap_or_default().to_owned() });
                self.draft_id.insert(id).clone()
            }
        };
        // A half-drawn area may cross itself or lie flat: then the shape before stays until the pointer is elsewhere.
        let name = Some(fresh_name(&id, draft.drawn.text()));
        let _ = self.edit_anew(&[Edit::Add(Box::new(Feature { name, ..Feature::new(id, kind, geometry) }))]);
    }

    fn set_typed_leg(&self, draft: &mut Draft) -> After {
        let (Some(leg), Some(&from)) = (draft.typed_leg(), draft.corners.last()) else { return After::GoesOn };
        let towards_pointer = draft.pointer.map_or(0.0, |pointer| bearing_deg(from, pointer));
        let unit_m = if self.units() == UnitSystem::Us { FOOT_M } else { 1.0 };
        let wanted = Length::metres(leg.length * unit_m);
        let end = leg_end(from, leg.bearing_deg.unwrap_or(towards_pointer), wanted, |to| self.on_ground(&[from, to]));
        draft.clicked(end)
    }

    /// Length on the ground along map points; `None` without ground under all of it.
    pub fn on_ground(&self, corners: &[MapPoint]) -> Option<Length> {
        let ground = self.land.ground.as_ref()?;
        let profile = ground.profile(corners);
        let mut sum_m = 0.0;
        for pair in profile.windows(2) {
            sum_m += (pair[1].plan_m - pair[0].plan_m).hypot(pair[1].ground_m? - pair[0].ground_m?);
        }
        Some(Length::metres(sum_m))
    }

    /// Sets a point feature; a gate, a switch, a reading go onto the nearest line.
    pub fn set_point(&mut self, point: Point, at: MapPoint) {
        let at = match (point.stands_in(), self.foot_on_line(point, at)) {
            (None, _) => at,
            (Some(_), Some(foot)) => foot,
            (Some(line), None) => {
                self.notices.push(format!("{} stands in {line}: click nearer to one.", with_article(point.text())));
                return;
            }
        };
        if let Some(other) = self.paddock_around(at).filter(|_| point == Point::Paddock) {
            let other = self.label(&other);
            self.notices.push(format!(
                "This ground is the paddock “{other}” already: part it with a line first, or move that paddock's mark."
            ));
            return;
        }
        let Some(mut kind) = point.kind(self.ground_at(at), today()) else {
            self.notices.push("The elevation grid has no height here: click where it has one.".to_owned());
            return;
        };
        // What was found names its line, so that it says so when the line moves.
        if let Some(of) = kind.entry_line_mut() {
            of.line = self.line_under(at).map(|line| line.as_str().to_owned());
        }
        let id = fresh_id(self.plan(), &kind);
        let gesture = Gesture::Drew { kind: kind.word().unwrap_or_default().to_owned() };
        let name = Some(fresh_name(&id, point.text()));
        let ring = point.outline(at).map(|ring| ring.into_iter().map(|corner| self.position(corner)).collect());
        let geometry = ring.map_or_else(|| Geometry::Point(self.position(at)), |ring| Geometry::Area(vec![ring]));
        let feature = Feature { name, ..Feature::new(id.clone(), kind, geometry) };
        self.change(gesture, &[Edit::Add(Box::new(feature))]);
        self.selection = Selection::of(id);
        self.tool = ToolKind::Choose;
    }

    /// The paddock whose ground a point lies in.
    fn paddock_around(&self, at: MapPoint) -> Option<FeatureId> {
        let around = |ring: &[MapPoint]| {
            let next = ring.iter().cycle().skip(1);
            let crossed = ring.iter().zip(next).filter(|(from, to)| {
                (from.y_m > at.y_m) != (to.y_m > at.y_m)
                    && at.x_m < from.x_m + (to.x_m - from.x_m) * (at.y_m - from.y_m) / (to.y_m - from.y_m)
            });
            crossed.count() % 2 == 1
        };
        let paddocks = self.outcome.paddocks.iter().filter(|paddock| around(&paddock.ring));
        // Of paddocks within paddocks the inner one.
        let smallest = paddocks.min_by(|one, other| one.area.as_square_metres().total_cmp(&other.area.as_square_metres()))?;
        Some(smallest.id.clone())
    }

    /// The line with strands that is nearest to a point, where one is within a metre.
    fn line_under(&self, at: MapPoint) -> Option<FeatureId> {
        let lines = self.shapes.all().filter(|shape| shape.feature.kind.carries_strands());
        let off = |shape: &Shape| {
            let legs = shape.first_ring().windows(2).map(|leg| nearest_on_leg(at, leg[0], leg[1]).distance_m(at));
            legs.fold(f64::INFINITY, f64::min)
        };
        let nearest = lines.map(|shape| (off(shape), shape)).min_by(|one, other| one.0.total_cmp(&other.0))?;
        (nearest.0 <= 1.0).then(|| nearest.1.feature.id.clone())
    }

    fn foot_on_line(&self, point: Point, at: MapPoint) -> Option<MapPoint> {
        let lines = self.shapes.all().filter(|shape| point.can_stand_in(&shape.feature.kind));
        let feet = lines.flat_map(|shape| shape.first_ring().windows(2)).map(|leg| nearest_on_leg(at, leg[0], leg[1]));
        let nearest = feet.min_by(|a, b| a.distance_m(at).total_cmp(&b.distance_m(at)))?;
        (nearest.distance_m(at) <= 14.0 * self.view.metres_per_point).then_some(nearest)
    }
}

/// `A gate`, `An energizer`.
fn with_article(thing: &str) -> String {
    let article = if thing.starts_with(['A', 'E', 'I', 'O', 'U']) { "An" } else { "A" };
    format!("{article} {}", thing.to_lowercase())
}

/// What a new feature is called until the keeper knows better: its kind and the number of its id.
pub(crate) fn fresh_name(id: &FeatureId, kind: &str) -> String {
    id.as_str().rsplit_once('-').map_or_else(|| kind.to_owned(), |(_, number)| format!("{kind} {number}"))
}

/// An id that no feature has: the kind's word and a number.
pub(crate) fn fresh_id(plan: &Plan, kind: &Kind) -> FeatureId {
    let word = kind.word().unwrap_or("thing").replace('_', "-");
    let taken: HashSet<&FeatureId> = plan.features.iter().map(|feature| &feature.id).collect();
    FreshIds::new(&word).next(|id| taken.contains(id))
}
