//! The card's part about reaching and seeing lines from the tracks.

use crate::card::{fact, facts, heading};
use crate::command::Command;
use crate::map::look::LandLook;
use crate::map::reached::ReachStroke;
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{Grid, RichText, Sense, Ui, pos2, vec2};
use hillwire_core::land::MapPoint;
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::{Feature, Kind};
use hillwire_core::site::{LineReach, ReachClass, Season};
use hillwire_core::units::Length;

/// Reach and sight of the selected line, or of all fences.
pub fn card(ui: &mut Ui, session: &Session) {
    let chosen = session.chosen().and_then(|feature| session.line_outcome(&feature.id));
    let lines: Vec<&LineOutcome> = match chosen {
        Some(line) => vec![line],
        None => session.outcome.lines.iter().map(AsRef::as_ref).filter(|line| is_fence(session, line)).collect(),
    };
    if lines.is_empty() {
        return;
    }
    let name = chosen.and_then(|line| session.plan().feature(&line.id)).map(|feature| feature.label().to_owned());
    heading(ui, &name.map_or_else(|| "How all fences are reached".to_owned(), |name| format!("How {name} is reached")));
    let reached: Vec<&LineReach> = lines.iter().filter_map(|line| line.reach.as_deref()).collect();
    if reached.is_empty() {
        ui.label("No track is drawn yet. Draw the tracks that a vehicle uses, and this tells how every metre is reached.");
        return;
    }
    classes(ui, session, &reached);
    walks(ui, session, &lines);
}

fn is_fence(session: &Session, line: &LineOutcome) -> bool {
    session.plan().feature(&line.id).is_some_and(|feature| matches!(feature.kind, Kind::Fence(_)))
}

/// How long and how steep a track is, and what of it no vehicle gets to.
pub fn of_track(ui: &mut Ui, session: &Session, feature: &Feature) {
    let Some(track) = session.outcome.reach.tracks.judged.iter().find(|track| track.id == feature.id) else { return };
    let metres = |stretches: &[Vec<MapPoint>]| -> Length {
        let pairs = stretches.iter().flat_map(|stretch| stretch.windows(2));
        Length::metres(pairs.map(|pair| pair[0].distance_m(pair[1])).sum())
    };
    facts(ui, "track-facts", |ui| {
        let (climb, descent) = track.climb_and_descent();
        for (what, length) in [("on the ground", track.length()), ("climbs", climb), ("falls", descent)] {
            fact(ui, what, &words::length(length, session.units()));
        }
        let slopes = [("steepest grade over 20\u{a0}m", track.steepest_pct), ("ground leans across by up to", track.leans_pct)];
        for (what, pct) in slopes {
            fact(ui, what, &pct.map_or_else(|| "not known".to_owned(), words::percent));
        }
        for (what, length) in [("too steep to drive", track.out_of_use()), ("not reached because of it", metres(&track.behind))] {
            if length > Length::ZERO {
                fact(ui, what, &words::length(length, session.units()));
            }
        }
    });
}

/// Metres of each class, in summer and once the leaves have fallen.
fn classes(ui: &mut Ui, session: &Session, reached: &[&LineReach]) {
    let inks = theme::inks(ui);
    let metres = |class, season| -> Length { reached.iter().map(|reach| reach.length_of(class, season)).sum() };
    let text = |length: Length| if length > Length::ZERO { words::length(length, session.units()) } else { "–".to_owned() };
    Grid::new("reach classes").num_columns(4).spacing([10.0, 3.0]).show(ui, |ui| {
        for title in ["", "", "in summer", "leaves fallen"] {
            ui.label(RichText::new(title).small().color(inks.faint_ink));
        }
        ui.end_row();
        for class in ReachClass::ALL {
            let (rect, _) = ui.allocate_exact_size(vec2(30.0, 12.0), Sense::hover());
            let points = [rect.left(), rect.right()].map(|x| pos2(x, rect.center().y)).to_vec();
            ReachStroke::of(&inks, class).paint(ui.painter(), points, egui::Color32::TRANSPARENT);
            ui.label(words::reach_class(class)).on_hover_text(words::reach_class_means(class, session.units()));
            ui.label(text(metres(class, Season::Summer)));
            ui.label(text(metres(class, Season::LeafOff)));
            ui.end_row();
        }
        let share = |season| {
            let known: f64 = reached.iter().map(|reach| reach.known_length().as_metres()).sum();
            let seen: f64 = reached.iter().map(|reach| reach.seen_length(season).as_metres()).sum();
            if known > 0.0 { words::share(seen / known) } else { "not known".to_owned() }
        };
        ui.label("");
        ui.label("seen");
        ui.label(share(Season::Summer));
        ui.label(share(Season::LeafOff));
        ui.end_row();
    });
}

/// The walk to the place that takes longest.
fn walks(ui: &mut Ui, session: &Session, lines: &[&LineOutcome]) {
    let worst = lines.iter().filter_map(|line| Some((*line, line.reach.as_ref()?.worst()?)));
    let Some((line, piece)) = worst.max_by(|a, b| a.1.minutes.there_s.total_cmp(&b.1.minutes.there_s)) else { return };
    let name = session.plan().feature(&line.id).map_or("", |feature| feature.label());
    let place = words::length(piece.from, session.units());
    let to = if lines.len() > 1 { format!("to {name}, {place} along it") } else { format!("to {place} along it") };
    ui.add_space(2.0);
    ui.label(words::longest_walk(&to, piece.minutes.there_s, piece.minutes.back_s, piece.minutes.by_climb_s));
}

/// The choice by what the ground is coloured, and the key to it.
pub fn look(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    heading(ui, "The map shows");
    ui.horizontal_wrapped(|ui| {
        for (look, text, tip) in LandLook::ALL {
            if ui.selectable_label(session.look.by == look, text).on_hover_text(tip).clicked() {
                commands.push(Command::LookAtLand(look));
            }
        }
    });
    if session.look.by == LandLook::Slope {
        super::land::slope_key(ui);
        return;
    }
    if session.look.by == LandLook::Zones {
        super::zone::key(ui, session);
        return;
    }
    if !session.look_ground().shows(session.look.by) {
        let is_reach = matches!(session.look.by, LandLook::Walk | LandLook::Seen);
        ui.label(if is_reach {
            "This needs an elevation grid, and a track that a vehicle can use."
        } else {
            words::NEEDS_FINE_GRID
        });
        return;
    }
    for class in session.look.by.classes() {
        ui.horizontal(|ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(26.0, 14.0), Sense::hover());
            class.swatch(ui.painter(), rect);
            ui.label(class.text);
        });
    }
    if session.look.picture.is_none() {
        ui.label("The picture is on its way.");
    }
}
