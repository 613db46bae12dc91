//! What the pointer does on the map: reaching (with snapping), choosing, dragging, drawing, setting.

use super::draw::Canvas;
use crate::command::Command;
use crate::perform_draft::Stroke as Pen;
use crate::session::{Pointed, Selection, Session, Stage};
use crate::shapes::Shape;
use crate::tools::snap::{self, Catcher, Caught, Snap};
use crate::tools::{Point, ToolKind};
use egui::{PointerButton, Pos2, Rect, Response, Stroke, Ui};
use hillwire_core::hold::Sample;
use hillwire_core::land::MapPoint;
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::{Edit, FeatureId, Geometry, Gesture, Kind};

/// How near the pointer must be to catch, in points of the screen.
const CATCH_POINTS: f64 = 10.0;

/// Where the pointer reaches on the map.
#[derive(Clone, Copy, Debug)]
pub struct Reached {
    /// The map point, snapped.
    pub at: MapPoint,
    /// Where the pointer itself is on the screen.
    pub at_screen: Pos2,
    /// What caught, if anything.
    pub caught: Option<Caught>,
}

/// What the held pointer is doing.
pub enum Press {
    /// Moving one corner.
    Corner {
        /// The line.
        id: FeatureId,
        /// The corner.
        corner: usize,
        /// The edit that has put the corner in, when it is new.
        inserted: Option<Edit>,
    },
    /// Moving everything selected.
    Bodies {
        /// Where the pointer took hold.
        from: MapPoint,
    },
    /// Drawing a box around what to select.
    Box {
        /// Its first corner.
        from: Pos2,
    },
}

/// Where the pointer reaches, snapped when the tool in hand draws.
pub fn reach(response: &Response, ui: &Ui, session: &Session) -> Option<Reached> {
    let at_screen = response.hover_pos().or_else(|| response.interact_pointer_pos())?;
    let free = session.view.at_map(session.pane, at_screen);
    let unsnapped = Reached { at: free, at_screen, caught: None };
    if session.tool == ToolKind::Choose || ui.input(|input| input.modifiers.alt) {
        return Some(unsnapped);
    }
    let snap = snapped(session, free, session.draft_id.as_ref());
    Some(snap.map_or(unsnapped, |snap| Reached { at: snap.at, at_screen, caught: Some(snap.caught) }))
}

/// What catches near a map point, leaving one feature out.
fn snapped(session: &Session, at: MapPoint, without: Option<&FeatureId>) -> Option<Snap> {
    let reach_m = CATCH_POINTS * session.view.metres_per_point;
    let others = session.shapes.all().filter(|shape| Some(&shape.feature.id) != without);
    let lines = others.filter(|shape| matches!(shape.feature.geometry, Geometry::Line(_))).map(|shape| Catcher {
        corners: shape.first_ring(),
        is_track: matches!(shape.feature.kind, hillwire_core::plan::Kind::Track(_)),
    });
    let own = session.draft.as_ref().map_or(&[][..], |draft| &draft.corners);
    let own_first = (own.len() >= 3).then(|| Catcher { corners: &own[..1], is_track: false });
    let best = snap::catch(at, reach_m, lines.chain(own_first));
    best.or_else(|| level_with_last(session, at, reach_m * 0.4))
}

fn level_with_last(session: &Session, at: MapPoint, reach_m: f64) -> Option<Snap> {
    let last = *session.draft.as_ref()?.corners.last()?;
    let ground = session.land.ground.as_ref()?;
    let level = ground.elevation(last)?.as_metres();
    snap::catch_contour(ground, at, level, reach_m)
}

/// Corner handles of the selected line, each with a name of its own for whoever does not use the mouse.
pub fn handles(ui: &Ui, canvas: &Canvas<'_>, session: &Session) {
    if session.tool != ToolKind::Choose {
        return;
    }
    let Some(shape) = session.selection.only().and_then(|id| session.shapes.of(id)) else { return };
    if !matches!(shape.feature.geometry, Geometry::Line(_)) {
        return;
    }
    let ring = shape.first_ring();
    for leg in ring.windows(2) {
        let (a, b) = (canvas.at(leg[0]), canvas.at(leg[1]));
        if a.distance(b) > 44.0 {
            canvas.painter.circle(a.lerp(b, 0.5), 3.6, canvas.inks.halo, Stroke::new(1.2, canvas.inks.ink));
        }
    }
    for (index, &corner) in ring.iter().enumerate() {
        let at = canvas.at(corner);
        let chosen = session.selection.corner == Some(index);
        let fill = if chosen { canvas.inks.chosen } else { canvas.inks.halo };
        let square = Rect::from_center_size(at, egui::Vec2::splat(if chosen { 12.0 } else { 10.0 }));
        canvas.painter.rect(square, 1.5, fill, Stroke::new(1.6, canvas.inks.ink), egui::StrokeKind::Middle);
        if index < 200 && canvas.pane.contains(at) {
            let name = format!("Corner {} of {}", index + 1, shape.feature.label());
            let handle = ui.interact(square, ui.scope_id().with(("corner", index)), egui::Sense::hover());
            handle.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::GenericContainer, true, &name));
        }
    }
}

/// The tool that selects, moves and reshapes.
pub fn choose(ui: &Ui, response: &Response, session: &Session, press: &mut Option<Press>, commands: &mut Vec<Command>) {
    let shift = ui.input(|input| input.modifiers.shift);
    if response.drag_started_by(PointerButton::Primary)
        && let Some(origin) = ui.input(|input| input.pointer.press_origin())
    {
        *press = Some(take_hold(session, origin, shift, commands));
    }
    if response.dragged_by(PointerButton::Primary)
        && let (Some(held), Some(now)) = (press.as_ref(), response.interact_pointer_pos())
    {
        drag(ui, session, held, now, commands);
    }
    if ui.input(|input| input.key_pressed(egui::Key::Escape))
        && press.take().is_some_and(|held| !matches!(held, Press::Box { .. }))
    {
        commands.push(Command::AbandonChange);
    }
    if response.drag_stopped_by(PointerButton::Primary) {
        match (press.take(), response.interact_pointer_pos()) {
            (Some(Press::Box { from }), Some(now)) => {
                commands.push(Command::Select(within(session, Rect::from_two_pos(from, now))))
            }
            (Some(_), _) => commands.push(Command::EndChange),
            (None, _) => {}
        }
    }
    if response.double_clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        insert_corner(session, at, commands);
    } else if response.clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        let selection = clicked(session, at, shift);
        if session.stage == Stage::Power {
            power_click(session, at, &selection, commands);
        }
        commands.push(Command::Select(selection));
    }
}

fn take_hold(session: &Session, origin: Pos2, shift: bool, commands: &mut Vec<Command>) -> Press {
    let from = session.view.at_map(session.pane, origin);
    if let Some((id, corner)) = corner_at(session, origin) {
        commands.push(Command::Select(Selection::of_corner(id.clone(), corner)));
        commands.push(Command::BeginChange(Gesture::MovedCorner { label: session.label(&id) }));
        return Press::Corner { id, corner, inserted: None };
    }
    if let Some((id, before, at)) = middle_at(session, origin) {
        let insert = Edit::InsertCorner { id: id.clone(), before, at: session.position(at) };
        commands.push(Command::BeginChange(Gesture::InsertedCorner { label: session.label(&id) }));
        commands.push(Command::GoOn(vec![insert.clone()]));
        commands.push(Command::Select(Selection::of_corner(id.clone(), before)));
        return Press::Corner { id, corner: before, inserted: Some(insert) };
    }
    if let Some(shape) = shape_at(session, origin) {
        let id = shape.feature.id.clone();
        if !session.selection.has(&id) {
            commands.push(Command::Select(added(session, id, shift)));
        }
        let count = session.selection.features.len();
        let one = count <= 1 || !session.selection.has(&shape.feature.id);
        let gesture = if one { Gesture::MovedOne { label: shape.feature.label().to_owned() } } else { Gesture::Moved { count } };
        commands.push(Command::BeginChange(gesture));
        return Press::Bodies { from };
    }
    Press::Box { from: origin }
}

fn drag(ui: &Ui, session: &Session, held: &Press, now: Pos2, commands: &mut Vec<Command>) {
    let at = session.view.at_map(session.pane, now);
    match held {
        Press::Corner { id, corner, inserted } => {
            let free = ui.input(|input| input.modifiers.alt);
            let snap = if free { None } else { snapped(session, at, Some(id)) };
            let to = session.position(snap.map_or(at, |snap| snap.at));
            let moved = Edit::MoveCorner { id: id.clone(), corner: *corner, to };
            commands.push(Command::GoOn(inserted.iter().cloned().chain([moved]).collect()));
        }
        Press::Bodies { from } => {
            let several = session.selection.features.len() > 1;
            let is_entry = |id: &FeatureId| session.plan().feature(id).is_some_and(|feature| feature.kind.is_log_entry());
            // What was found stays where it was found when other things are moved.
            let ids = session.selection.features.iter().filter(|id| !(several && is_entry(id))).cloned().collect();
            commands.push(Command::GoOn(vec![Edit::MoveFeatures { ids, frame: session.frame, by: at - *from }]));
        }
        Press::Box { from } => {
            let rect = Rect::from_two_pos(*from, now);
            let stroke = Stroke::new(1.2, crate::theme::inks(ui).ink);
            ui.painter().rect(rect, 0.0, crate::theme::inks(ui).chosen.gamma_multiply(0.15), stroke, egui::StrokeKind::Middle);
        }
    }
}

/// The tool that draws lines and areas.
pub fn draw(ui: &Ui, response: &Response, reached: Option<Reached>, commands: &mut Vec<Command>) {
    if let Some(reached) = reached {
        commands.push(Command::Stroke(Pen::Moved(reached.at)));
        if response.double_clicked() {
            commands.push(Command::Stroke(Pen::Ended));
        } else if response.clicked() {
            commands.push(Command::Stroke(Pen::Clicked(reached.at)));
        }
    } else {
        commands.push(Command::Stroke(Pen::Left));
    }
    ui.set_cursor_icon(if response.hovered() { egui::CursorIcon::Crosshair } else { egui::CursorIcon::Default });
}

/// The tool that sets points.
pub fn set(ui: &Ui, response: &Response, point: Point, reached: Option<Reached>, commands: &mut Vec<Command>) {
    if let Some(reached) = reached.filter(|_| response.clicked()) {
        commands.push(Command::SetPoint(point, reached.at));
    }
    if response.hovered() {
        ui.set_cursor_icon(egui::CursorIcon::Crosshair);
    }
}

/// On the stage Power a click on a line asks for the pulse there, and one on a switch that is selected already turns it.
fn power_click(session: &Session, at: Pos2, selection: &Selection, commands: &mut Vec<Command>) {
    let here = session.view.at_map(session.pane, at);
    let on_line = nearest_line(session, here, CATCH_POINTS * session.view.metres_per_point);
    commands.push(Command::PulseAt(on_line));
    let again = selection.only().filter(|id| session.selection.only() == Some(id)).and_then(|id| session.plan().feature(id));
    if let Some(feature) = again
        && let Kind::Cutout { open } = feature.kind
    {
        let gesture = Gesture::ChangedKind { label: feature.label().to_owned(), kind: "cutout".to_owned() };
        let kind = Box::new(Kind::Cutout { open: !open });
        commands.push(Command::Change(gesture, vec![Edit::SetKind { id: feature.id.clone(), kind }]));
    }
}

fn clicked(session: &Session, at: Pos2, shift: bool) -> Selection {
    if let Some((id, corner)) = corner_at(session, at) {
        // Again on a chosen corner: what stands in it, as an energizer where its lead-out begins.
        let standing = (session.selection.corner == Some(corner)).then(|| point_at(session, at)).flatten();
        return standing
            .map_or_else(|| Selection::of_corner(id, corner), |shape| added(session, shape.feature.id.clone(), shift));
    }
    if let Some(station) = super::posts::post_at(session, at) {
        return Selection { features: session.selection.features.clone(), post: Some(station), ..Selection::default() };
    }
    if let Some(finding) = finding_at(session, at) {
        let line = session.outcome.findings[finding].place.line.clone();
        return Selection { features: line.into_iter().collect(), finding: Some(finding), ..Selection::default() };
    }
    match shape_at(session, at) {
        Some(shape) => added(session, shape.feature.id.clone(), shift),
        None => Selection::default(),
    }
}

fn added(session: &Session, id: FeatureId, shift: bool) -> Selection {
    let mut selection = if shift { session.selection.clone() } else { Selection::default() };
    (selection.corner, selection.post) = (None, None);
    match selection.features.iter().position(|known| *known == id) {
        Some(index) => drop(selection.features.remove(index)),
        None => selection.features.push(id),
    }
    selection
}

fn within(session: &Session, rect: Rect) -> Selection {
    // The log is no part of what is drawn: a box takes the lines, and leaves what was found on them.
    let inside = |shape: &&Shape| {
        let mut corners = shape.corners().peekable();
        !shape.feature.kind.is_log_entry()
            && corners.peek().is_some()
            && corners.all(|corner| rect.contains(session.view.at_screen(session.pane, corner)))
    };
    Selection {
        features: session.shapes.all().filter(inside).map(|shape| shape.feature.id.clone()).collect(),
        ..Selection::default()
    }
}

fn corner_at(session: &Session, at: Pos2) -> Option<(FeatureId, usize)> {
    let shape = session.selection.only().and_then(|id| session.shapes.of(id))?;
    if !matches!(shape.feature.geometry, Geometry::Line(_)) {
        return None;
    }
    let off = |corner: &MapPoint| session.view.at_screen(session.pane, *corner).distance(at);
    let (index, corner) = shape.first_ring().iter().enumerate().min_by(|a, b| off(a.1).total_cmp(&off(b.1)))?;
    (off(corner) <= 9.0).then(|| (shape.feature.id.clone(), index))
}

fn middle_at(session: &Session, at: Pos2) -> Option<(FeatureId, usize, MapPoint)> {
    let shape = session.selection.only().and_then(|id| session.shapes.of(id))?;
    if !matches!(shape.feature.geometry, Geometry::Line(_)) {
        return None;
    }
    shape.first_ring().windows(2).enumerate().find_map(|(index, leg)| {
        let middle = leg[0].towards(leg[1], 0.5);
        let near = session.view.at_screen(session.pane, middle).distance(at) <= 7.0;
        near.then(|| (shape.feature.id.clone(), index + 1, middle))
    })
}

fn insert_corner(session: &Session, at: Pos2, commands: &mut Vec<Command>) {
    let Some(shape) = shape_at(session, at).filter(|shape| matches!(shape.feature.geometry, Geometry::Line(_))) else { return };
    let here = session.view.at_map(session.pane, at);
    let off = |leg: &[MapPoint]| snap::nearest_on_leg(here, leg[0], leg[1]).distance_m(here);
    let legs = shape.first_ring().windows(2).enumerate();
    if let Some((index, leg)) = legs.min_by(|a, b| off(a.1).total_cmp(&off(b.1))) {
        let id = shape.feature.id.clone();
        let foot = session.position(snap::nearest_on_leg(here, leg[0], leg[1]));
        commands.push(Command::Change(
            Gesture::InsertedCorner { label: session.label(&id) },
            vec![Edit::InsertCorner { id: id.clone(), before: index + 1, at: foot }],
        ));
        commands.push(Command::Select(Selection::of_corner(id, index + 1)));
    }
}

/// How near a click has to be to a line, points on the screen; the sign of a point is larger.
const LINE_POINTS: f64 = 7.0;
const SIGN_POINTS: f64 = 11.0;

/// What can be picked, the last drawn first.
fn pickable(session: &Session) -> impl Iterator<Item = &Shape> {
    session.shapes.all().rev().filter(|shape| session.shows_entry(&shape.feature))
}

/// The point feature under a place on the screen.
fn point_at(session: &Session, at: Pos2) -> Option<&Shape> {
    let here = session.view.at_map(session.pane, at);
    let reach_m = SIGN_POINTS * session.view.metres_per_point;
    pickable(session).find(|shape| shape.point().is_some_and(|point| point.distance_m(here) <= reach_m))
}

/// The feature under a place on the screen: points before lines before areas.
fn shape_at(session: &Session, at: Pos2) -> Option<&Shape> {
    let here = session.view.at_map(session.pane, at);
    let reach_m = LINE_POINTS * session.view.metres_per_point;
    let line = |shape: &&Shape| {
        let legs = shape.rings.iter().flat_map(|ring| ring.windows(2));
        let mut distances = legs.map(|leg| snap::nearest_on_leg(here, leg[0], leg[1]).distance_m(here));
        distances.any(|distance| distance <= reach_m)
    };
    point_at(session, at)
        .or_else(|| pickable(session).filter(|shape| shape.feature.kind.carries_strands()).find(line))
        .or_else(|| pickable(session).find(line))
}

fn finding_at(session: &Session, at: Pos2) -> Option<usize> {
    let marked = session.outcome.findings.iter().enumerate();
    let mut shown = marked.filter(|(_, finding)| finding.weight != hillwire_core::finding::Weight::Note);
    let hit = shown.find(|(_, finding)| {
        let place = session.frame.to_map(finding.place.at);
        place.is_ok_and(|place| (session.view.at_screen(session.pane, place) + super::draw::FINDING_ABOVE).distance(at) <= 9.0)
    });
    hit.map(|(index, _)| index)
}

/// The station of the long section's line that a map point is near to.
pub fn along_section_line(session: &Session, at: MapPoint) -> Option<Pointed> {
    let line = session.section_line()?;
    along(line, at, 12.0 * session.view.metres_per_point).map(|(_, pointed)| pointed)
}

/// The station of the line that is nearest to a map point, if one is within reach.
pub fn nearest_line(session: &Session, at: MapPoint, reach_m: f64) -> Option<Pointed> {
    let near = session.outcome.lines.iter().filter_map(|line| along(line, at, reach_m));
    near.min_by(|one, other| one.0.total_cmp(&other.0)).map(|(_, pointed)| pointed)
}

/// The station of a line that is nearest to a map point, and how far that is off.
pub fn along(line: &LineOutcome, at: MapPoint, reach_m: f64) -> Option<(f64, Pointed)> {
    let samples = &line.section.samples;
    let off = |leg: &[Sample]| snap::nearest_on_leg(at, leg[0].at, leg[1].at);
    let near = samples.windows(2).min_by(|a, b| off(a).distance_m(at).total_cmp(&off(b).distance_m(at)))?;
    let foot = off(near);
    let off_m = foot.distance_m(at);
    if off_m > reach_m {
        return None;
    }
    let span = near[0].at.distance_m(near[1].at);
    let share = if span > 0.0 { near[0].at.distance_m(foot) / span } else { 0.0 };
    let station_m = near[0].station_m + share * (near[1].station_m - near[0].station_m);
    Some((off_m, Pointed { line: line.id.clone(), station_m }))
}
