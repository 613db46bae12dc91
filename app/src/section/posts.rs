//! Posts in the long section: drawn with what pulls at them, chosen, dragged along the line, added and taken out.

use super::chart::Chart;
use crate::command::Command;
use crate::map::signs::{SignInks, sign};
use crate::session::{Selection, Session, Stage};
use crate::theme::Inks;
use crate::tools::posts::{is_free, with_post, with_post_moved};
use crate::words;
use egui::{CursorIcon, Key, Painter, PointerButton, Pos2, Rect, Response, Stroke, Ui, WidgetInfo, pos2, vec2};
use hillwire_core::hold::{Post, PostRole, TREE_POST};
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::{Build, Edit, FeatureId, Fence, Gesture, Kind};
use hillwire_core::units::{Force, Length};

/// How near the pointer must be to a post to catch it, in points across.
const CATCH: f32 = 6.0;
/// A post keeps this far from the ends of its line, metres.
const FROM_ENDS_M: f64 = 0.3;
/// A pull upwards that is shown by an arrow, and one whose arrow is longest.
const UPLIFT_SHOWN_N: (f64, f64) = (25.0, 1500.0);
/// Posts that have a name of their own for whoever does not use the mouse.
const MOST_NAMED: usize = 200;

/// A post that the pointer holds.
pub struct Held {
    line: FeatureId,
    /// The fence as it was when the pointer took hold.
    before: Fence,
    from: Length,
}

/// What a post is drawn with.
pub struct PostPaint<'a> {
    /// Paints into the pane.
    pub painter: &'a Painter,
    /// Where stations and heights lie.
    pub chart: &'a Chart,
    /// The line.
    pub line: &'a LineOutcome,
    /// Colours.
    pub inks: &'a Inks,
    /// The station of the chosen post.
    pub chosen: Option<Length>,
}

impl PostPaint<'_> {
    /// Draws all posts of the line.
    pub fn paint(&self, build: Option<&Build>) {
        let top_m = top_m(build);
        for post in &self.line.hold.posts {
            let Some((base, top)) = ends(self.chart, post, top_m) else { continue };
            if self.chosen.is_some_and(|chosen| is_at(post, chosen)) {
                let around = Rect::from_min_max(pos2(base.x - 5.0, top.y - 11.0), pos2(base.x + 5.0, base.y + 4.0));
                self.painter.rect_filled(around, 3.0, self.inks.chosen.gamma_multiply(0.65));
            }
            let (width, ink) = match post.role {
                PostRole::Peg => (0.9, self.inks.faint_ink),
                PostRole::Line => (1.2, self.inks.ink),
                _ => (2.4, self.inks.ink),
            };
            self.painter.line_segment([base, top], Stroke::new(width, ink));
            self.role(post, top);
            self.hold(post, base);
            self.uplift(post, top);
        }
    }

    fn role(&self, post: &Post, top: Pos2) {
        let name = match post.role {
            _ if post.post == TREE_POST => "tree",
            PostRole::Line if post.pinned => "pinned_post",
            PostRole::Line => return,
            PostRole::Corner => "corner_post",
            PostRole::End | PostRole::Stretch => "end_post",
            PostRole::Gate => "gate_post",
            PostRole::Dip => "dip_post",
            PostRole::Rise => "rise_post",
            PostRole::Peg => "peg",
        };
        let at = top - vec2(0.0, 5.0);
        let inks = SignInks { ink: self.inks.ink, paper: self.inks.halo };
        sign(name).paint(self.painter, at, 3.6, inks);
        if post.pinned && post.role != PostRole::Line {
            sign("pinned_post").paint(self.painter, at - vec2(0.0, 9.0), 3.6, inks);
        }
    }

    fn hold(&self, post: &Post, base: Pos2) {
        if post.held_down {
            let inks = SignInks { ink: self.inks.good, paper: self.inks.halo };
            sign("hold_down").paint(self.painter, base + vec2(0.0, 7.0), 5.0, inks);
        }
    }

    /// An arrow upwards, the longer the harder the strands pull; red where the ground does not hold against it.
    fn uplift(&self, post: &Post, top: Pos2) {
        let pull_n = post.uplift.as_newtons();
        if pull_n < UPLIFT_SHOWN_N.0 {
            return;
        }
        let share = ((pull_n - UPLIFT_SHOWN_N.0) / (UPLIFT_SHOWN_N.1 - UPLIFT_SHOWN_N.0)).clamp(0.0, 1.0).sqrt() as f32;
        let foot = top - vec2(0.0, if post.pinned { 20.0 } else { 11.0 });
        let head = foot - vec2(0.0, 6.0 + 18.0 * share);
        let ink = if is_lifted(post) { self.inks.must_fix } else { self.inks.note };
        self.painter.line_segment([foot, head + vec2(0.0, 3.0)], Stroke::new(1.8, ink));
        let tip = vec![head, head + vec2(-3.5, 5.0), head + vec2(3.5, 5.0)];
        self.painter.add(egui::Shape::convex_polygon(tip, ink, Stroke::NONE));
    }
}

/// Whether the strands pull a post out of the ground: nothing holds it down, and the ground holds less than they pull.
pub fn is_lifted(post: &Post) -> bool {
    !post.held_down && post.uplift > Force::ZERO && post.uplift_capacity.is_some_and(|capacity| capacity < post.uplift)
}

fn top_m(build: Option<&Build>) -> f64 {
    build.and_then(|build| build.strands.last()).map_or(0.6, |strand| strand.height.as_metres()) + 0.15
}

/// Where a post stands and how high it reaches; `None` where its ground is not known.
fn ends(chart: &Chart, post: &Post, top_m: f64) -> Option<(Pos2, Pos2)> {
    let foot = post.ground?.as_metres();
    let x = chart.x(post.station.as_metres());
    let base = pos2(x, chart.y(foot));
    // A post stays visible where the line is long.
    Some((base, pos2(x, chart.y(foot + top_m).min(base.y - 6.0))))
}

/// Whether a post stands at this station.
pub fn is_at(post: &Post, station: Length) -> bool {
    (post.station - station).as_metres().abs() < hillwire_core::hold::SAME_POST_M
}

/// The post that is caught at a place of the pane.
fn caught<'a>(chart: &Chart, line: &'a LineOutcome, build: Option<&Build>, at: Pos2) -> Option<&'a Post> {
    let top_m = top_m(build);
    let near = line.hold.posts.iter().filter_map(|post| {
        let (base, top) = ends(chart, post, top_m)?;
        let across = (base.x - at.x).abs();
        let within = across <= CATCH && at.y >= top.y - 16.0 && at.y <= base.y + 12.0;
        within.then_some((across, post))
    });
    near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, post)| post)
}

/// What the pointer needs to know about the pane.
pub struct Pane<'a> {
    /// Where stations and heights lie.
    pub chart: &'a Chart,
    /// The line.
    pub line: &'a LineOutcome,
    /// How it is built.
    pub build: Option<&'a Build>,
}

impl Pane<'_> {
    /// A name for every post, for whoever does not use the mouse.
    pub fn name_posts(&self, ui: &Ui, session: &Session) {
        let top_m = top_m(self.build);
        for (index, post) in self.line.hold.posts.iter().enumerate().take(MOST_NAMED) {
            let Some((base, top)) = ends(self.chart, post, top_m) else { continue };
            if !self.chart.rect.contains(base) {
                continue;
            }
            let rect = Rect::from_min_max(pos2(base.x - 2.0, top.y), pos2(base.x + 2.0, base.y));
            let station = words::length(post.station, session.units());
            let what = if post.role == PostRole::Peg { "Peg" } else { "Post" };
            let name = format!("{what} {} at {station}: {}", index + 1, words::role(post.role));
            let handle = ui.interact(rect, ui.scope_id().with(("post", index)), egui::Sense::hover());
            handle.widget_info(|| WidgetInfo::labeled(egui::accesskit::Role::GenericContainer, true, &name));
        }
    }

    /// Chooses, drags, adds; whether the click was meant for a post.
    pub fn point(
        &self,
        ui: &Ui,
        response: &Response,
        session: &Session,
        held: &mut Option<Held>,
        commands: &mut Vec<Command>,
    ) -> bool {
        let fence = session.plan().feature(&self.line.id).and_then(|feature| match &feature.kind {
            Kind::Fence(fence) => Some(fence),
            _ => None,
        });
        let Some(fence) = fence else { return false };
        self.drag(ui, response, session, fence, held, commands);
        let adds = session.adds_posts || ui.input(|input| input.modifiers.shift);
        if let Some(at) = response.hover_pos().filter(|_| held.is_none()) {
            match caught(self.chart, self.line, self.build, at) {
                _ if adds => ui.set_cursor_icon(CursorIcon::Crosshair),
                Some(post) if is_free(post) => ui.set_cursor_icon(CursorIcon::ResizeHorizontal),
                Some(_) => ui.set_cursor_icon(CursorIcon::PointingHand),
                None => {}
            }
        }
        let Some(at) = response.interact_pointer_pos().filter(|_| response.clicked()) else { return false };
        if adds {
            let station = self.within_line(self.chart.station_m(at.x));
            self.change(session, Gesture::AddedPost { label: session.label(&self.line.id) }, with_post(fence, station), commands);
            self.choose(session, station, commands);
            return true;
        }
        match caught(self.chart, self.line, self.build, at) {
            Some(post) => self.choose(session, post.station, commands),
            None => return false,
        }
        true
    }

    fn drag(
        &self,
        ui: &Ui,
        response: &Response,
        session: &Session,
        fence: &Fence,
        held: &mut Option<Held>,
        commands: &mut Vec<Command>,
    ) {
        if response.drag_started_by(PointerButton::Primary)
            && let Some(origin) = ui.input(|input| input.pointer.press_origin())
            && let Some(post) = caught(self.chart, self.line, self.build, origin).filter(|post| is_free(post))
        {
            *held = Some(Held { line: self.line.id.clone(), before: fence.clone(), from: post.station });
            self.choose(session, post.station, commands);
            commands.push(Command::BeginChange(Gesture::MovedPost { label: session.label(&self.line.id) }));
        }
        if held.as_ref().is_some_and(|held| held.line != self.line.id) || ui.input(|input| input.key_pressed(Key::Escape)) {
            if held.take().is_some() {
                commands.push(Command::AbandonChange);
            }
            return;
        }
        if let Some(of) = held.as_ref()
            && response.dragged_by(PointerButton::Primary)
            && let Some(at) = response.interact_pointer_pos()
        {
            ui.set_cursor_icon(CursorIcon::ResizeHorizontal);
            let to = self.within_line(self.chart.station_m(at.x));
            let kind = Kind::Fence(with_post_moved(&of.before, of.from, to));
            commands.push(Command::GoOn(vec![Edit::SetKind { id: self.line.id.clone(), kind: Box::new(kind) }]));
            self.choose(session, to, commands);
        }
        if response.drag_stopped_by(PointerButton::Primary) && held.take().is_some() {
            commands.push(Command::EndChange);
        }
    }

    fn within_line(&self, station_m: f64) -> Length {
        let length_m = self.line.section.samples.last().map_or(0.0, |sample| sample.station_m);
        Length::metres(station_m.clamp(FROM_ENDS_M.min(length_m / 2.0), (length_m - FROM_ENDS_M).max(length_m / 2.0)))
    }

    fn change(&self, _session: &Session, gesture: Gesture, fence: Fence, commands: &mut Vec<Command>) {
        let edit = Edit::SetKind { id: self.line.id.clone(), kind: Box::new(Kind::Fence(fence)) };
        commands.push(Command::Change(gesture, vec![edit]));
    }

    /// Chooses a post, and shows the stage whose card tells about it.
    fn choose(&self, session: &Session, station: Length, commands: &mut Vec<Command>) {
        let finding = session.selection.finding.filter(|_| session.selection.has(&self.line.id));
        commands.push(Command::Select(Selection { post: Some(station), finding, ..Selection::of(self.line.id.clone()) }));
        if !matches!(session.stage, Stage::Line | Stage::Hold) {
            commands.push(Command::Stage(Stage::Hold));
        }
    }
}
