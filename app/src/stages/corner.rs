//! The card of a corner or an end: its angle, its load, and what the keeper decides about its post.

use crate::card::{fact, facts, heading};
use crate::command::Command;
use crate::fields::{Grip, Unit, choice, length, row, rows, tick};
use crate::session::Session;
use crate::words;
use egui::Ui;
use hillwire_core::catalogue::Catalogue;
use hillwire_core::hold::Post;
use hillwire_core::plan::{CornerChoice, Feature, Fence, Kind};
use hillwire_core::units::Length;

/// A choice that leaves the post to the build.
const AS_BUILT: (&str, &str) = ("", "as the build says");
/// Where a field for the rock's depth begins, metres.
const ROCK_BEGINS_M: f64 = 0.3;

/// The selected corner.
pub fn card(ui: &mut Ui, session: &Session, feature: &Feature, fence: &Fence, commands: &mut Vec<Command>) {
    let Some(corner) = session.selection.corner else { return };
    ui.add_space(6.0);
    heading(ui, &format!("Corner {}", corner + 1));
    let line = session.line_outcome(&feature.id);
    let post = line.and_then(|line| {
        let at = line.section.samples.get(*line.section.corners.get(corner)?)?;
        line.hold.posts.iter().find(|post| (post.plan_m - at.plan_m).abs() < 0.05)
    });
    if let Some(post) = post {
        facts(ui, "corner", |ui| {
            if let Some(deflection) = post.deflection_deg {
                fact(ui, "turns by", &words::angle(deflection.abs()));
            }
            fact(ui, "strands pull", &words::force(post.sideways, session.units()));
            if let Some(capacity) = post.capacity {
                fact(ui, "ground holds", &words::force(capacity, session.units()));
            }
        });
    }
    choices(ui, session, feature, (fence, corner), post, commands);
}

/// What the keeper decides about the post of a corner or an end.
pub fn choices(
    ui: &mut Ui,
    session: &Session,
    feature: &Feature,
    (fence, corner): (&Fence, usize),
    post: Option<&Post>,
    commands: &mut Vec<Command>,
) {
    let before = fence.corners.get(&corner).cloned().unwrap_or_default();
    let mut changed = before.clone();
    let mut grip = Grip::default();
    let width = (ui.available_width() - 100.0).clamp(110.0, 220.0);
    rows(ui, "corner-choices", |ui| {
        stands(ui, &mut changed, post, (width, session.catalogue()));
        depths(ui, &mut grip, &mut changed, post, Unit::height(session.units()));
    });
    let kind = (changed != before).then(|| {
        let mut fence = fence.clone();
        if changed == CornerChoice::default() {
            // What says nothing must not stand there: it would force a post at a gentle corner.
            fence.corners.remove(&corner);
        } else {
            fence.corners.insert(corner, changed);
        }
        Kind::Fence(fence)
    });
    super::change_kind(grip, feature, kind, commands);
}

fn stands(ui: &mut Ui, choice_of: &mut CornerChoice, post: Option<&Post>, (width, catalogue): (f32, &Catalogue)) {
    row(ui, "post", "Another post than the build's for this place", |ui| {
        let all = catalogue.posts.iter().map(|row| (row.id.as_str(), row.label.as_str()));
        let now = choice_of.post.clone().unwrap_or_default();
        if let Some(chosen) = choice(ui, "post of this corner", width, &now, [AS_BUILT].into_iter().chain(all)) {
            choice_of.post = Some(chosen).filter(|chosen| !chosen.is_empty());
        }
    });
    let tip =
        "A brace takes the pull to a second post or into the ground; the braced post is then pulled upwards instead of over";
    row(ui, "braced", tip, |ui| {
        let mut braced = choice_of.brace.or(post.map(|post| post.braced)).unwrap_or(false);
        if tick(ui, "braced", &mut braced, tip) {
            choice_of.brace = Some(braced);
        }
    });
}

fn depths(ui: &mut Ui, grip: &mut Grip, choice_of: &mut CornerChoice, post: Option<&Post>, unit: Unit) {
    let usual = post.map_or(Length::metres(0.9), |post| post.depth);
    let own = "Tick it to set this post deeper, or less deep, than is usual for it";
    let rock = "Tick it when you have tried with a bar: a post goes no deeper than the rock lets it";
    for (what, field, tip, value, begins) in [
        ("own depth", "set this deep", own, &mut choice_of.depth, usual),
        ("bar met rock", "rock at", rock, &mut choice_of.rock_depth, Length::metres(ROCK_BEGINS_M)),
    ] {
        row(ui, what, tip, |ui| {
            let mut has = value.is_some();
            if tick(ui, what, &mut has, tip) {
                *value = has.then_some(begins);
            }
            if let Some(now) = *value
                && let Some(typed) = length(ui, grip, field, unit, now, 0.05..=2.5)
            {
                *value = Some(typed);
            }
        });
    }
}
