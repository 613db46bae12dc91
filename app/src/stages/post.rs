//! The card of one post: what it is there for, why it stands there, what pulls at it and what holds it.

use crate::card::{fact, facts, heading};
use crate::command::{Act, Command};
use crate::section::{is_at, is_lifted};
use crate::session::Session;
use crate::theme;
use crate::tools::posts::{is_free, with_hold_down, with_post, with_post_unpinned, with_posts_allowed, without_hold_down};
use crate::words::{self, cautions::Place};
use egui::{RichText, Ui};
use hillwire_core::hold::{Post, PostRole, TREE_POST};
use hillwire_core::plan::{Edit, Feature, Fence, Gesture, Kind};
use hillwire_core::units::{Force, Length};

/// The chosen post of a line, if there is one.
pub fn card(ui: &mut Ui, session: &Session, feature: &Feature, fence: &Fence, commands: &mut Vec<Command>) {
    let Some(station) = session.selection.post else { return };
    let line = session.line_outcome(&feature.id);
    let off = |post: &&Post| (post.station - station).as_metres().abs();
    let nearest = line.and_then(|line| line.hold.posts.iter().min_by(|a, b| off(a).total_cmp(&off(b))));
    let Some(post) = nearest.filter(|post| is_at(post, station)) else { return };
    let units = session.units();
    ui.add_space(6.0);
    let what = if post.role == PostRole::Peg { "Peg" } else { "Post" };
    heading(ui, &format!("{what} at {}", words::length(post.station, units)));
    ui.label(words::why(post, units));
    facts(ui, "post", |ui| loads(ui, post, session));
    if post.post == TREE_POST {
        super::small_cautions(ui, Place::TreeCard);
    }
    if is_lifted(post) {
        let says = "The strands pull it out of the ground: set it deeper, hold it down, or take a dip out of the line.";
        ui.label(RichText::new(says).color(theme::inks(ui).must_fix));
    }
    if let Some(corner) = post.corner {
        super::corner::choices(ui, session, feature, (fence, corner), Some(post), commands);
    }
    let changed = choices(ui, fence, post, commands);
    if let Some((gesture, fence)) = changed {
        let gesture = gesture(feature.label().to_owned());
        let edit = Edit::SetKind { id: feature.id.clone(), kind: Box::new(Kind::Fence(fence)) };
        commands.push(Command::Change(gesture, vec![edit]));
    }
}

fn loads(ui: &mut Ui, post: &Post, session: &Session) {
    let units = session.units();
    fact(ui, "is a", words::role(post.role));
    fact(ui, "of", words::item(&post.post, session.catalogue()));
    fact(ui, "set deep", &words::gap(post.depth, units));
    if post.uplift > Force::ZERO {
        fact(ui, "pulled up with", &words::force(post.uplift, units));
        if let Some(capacity) = post.uplift_capacity {
            fact(ui, "ground holds it with", &words::force(capacity, units));
        }
    } else {
        fact(ui, "pressed down with", &words::force(-post.uplift, units));
    }
    fact(ui, "pulled sideways with", &words::force(post.sideways, units));
    if let Some(capacity) = post.capacity {
        fact(ui, "ground holds sideways", &words::force(capacity, units));
    }
    if post.off.abs() > Length::metres(0.002) {
        let way = if post.off > Length::ZERO { "higher" } else { "lower" };
        fact(ui, "strands fixed", &format!("{} {way}", words::gap(post.off.abs(), units)));
    }
}

type Named = fn(String) -> Gesture;

fn choices(ui: &mut Ui, fence: &Fence, post: &Post, commands: &mut Vec<Command>) -> Option<(Named, Fence)> {
    let mut changed: Option<(Named, Fence)> = None;
    ui.horizontal_wrapped(|ui| {
        let mut held = post.held_down;
        let tip = "Tick it when you hold this post down: a stone, a cross-piece in the ground, a stay, an anchor";
        if ui.checkbox(&mut held, "held down").on_hover_text(tip).changed() {
            let fence = if held { with_hold_down(fence, post.station) } else { without_hold_down(fence, post.station) };
            changed = Some((|label| Gesture::HeldPost { label }, fence));
        }
        if !is_free(post) {
            return;
        }
        if post.pinned {
            let tip = "Let the program say again where posts stand here";
            if ui.button("Unpin").on_hover_text(tip).clicked() {
                changed = Some((|label| Gesture::UnpinnedPost { label }, with_post_unpinned(fence, post.station)));
            }
        } else if ui.button("Pin here").on_hover_text("Keep a post at this very place, whatever else changes").clicked() {
            changed = Some((|label| Gesture::PinnedPost { label }, with_post(fence, post.station)));
        }
        let tip = "No post here: others are planned so that the strands still keep their heights (Delete)";
        if ui.button("Take out").on_hover_text(tip).clicked() {
            commands.push(Command::Act(Act::Remove));
        }
    });
    if is_free(post) {
        let hint = "Drag it along the long section to move it.";
        ui.label(RichText::new(hint).small().color(theme::inks(ui).faint_ink));
    }
    changed
}

/// Places of a line where the keeper wants no post, and the way to allow them again.
pub fn unwanted(ui: &mut Ui, session: &Session, feature: &Feature, fence: &Fence, commands: &mut Vec<Command>) {
    for station in &fence.no_posts {
        ui.horizontal(|ui| {
            let at = words::length(*station, session.units());
            ui.label(RichText::new(format!("no post wanted at {at}")).color(theme::inks(ui).faint_ink));
            if ui.button("Allow again").on_hover_text("Posts may be planned there again").clicked() {
                let gesture = Gesture::AllowedPost { label: feature.label().to_owned() };
                let kind = Kind::Fence(with_posts_allowed(fence, *station));
                commands.push(Command::Change(gesture, vec![Edit::SetKind { id: feature.id.clone(), kind: Box::new(kind) }]));
            }
        });
    }
}
