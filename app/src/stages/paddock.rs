//! The card of a paddock: who is in it from when until when, what they need, and until when the strands around it hold them.

use super::stock::{self, day_field};
use super::{growth, set_kind};
use crate::card::{fact, facts, heading};
use crate::clock::today;
use crate::command::Command;
use crate::fields::{choice, row, rows};
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{CollapsingHeader, Grid, RichText, Ui};
use hillwire_core::catalogue::Purpose;
use hillwire_core::check::{HeldRow, LOOK_AHEAD_DAYS};
use hillwire_core::finding::Grade;
use hillwire_core::outcome::PaddockOutcome;
use hillwire_core::plan::{Build, Feature, Kind, Paddock, StockGroup};
use hillwire_core::stock::{GroundUse, HeldDays, group_needs, row_of, shoulder_of, weight_on};
use hillwire_core::units::Length;
use jiff::ToSpan;
use jiff::civil::Date;

const NOBODY: (&str, &str) = ("", "nobody");
const GUESSED: (&str, &str) = ("", "guessed");

/// What the card of a paddock offers.
pub fn choices(ui: &mut Ui, session: &Session, feature: &Feature, paddock: &Paddock, commands: &mut Vec<Command>) {
    // Every paddock has fields of its own: what is typed into one is not shown in another.
    ui.push_id(feature.id.as_str(), |ui| of_paddock(ui, session, feature, paddock, commands));
}

fn of_paddock(ui: &mut Ui, session: &Session, feature: &Feature, paddock: &Paddock, commands: &mut Vec<Command>) {
    ui.add_space(6.0);
    heading(ui, "Stock");
    who_and_when(ui, session, feature, paddock, commands);
    let groups = &session.plan().head.stock;
    let Some(group) = groups.iter().find(|group| Some(&group.id) == paddock.stock.as_ref()) else {
        stock::new_group(ui, session, Some((feature, paddock)), commands);
        return;
    };
    CollapsingHeader::new(format!("The group “{}”", group.id))
        .id_salt("group of the paddock")
        .show_unindented(ui, |ui| stock::editor(ui, session, group, commands));
    let stay = Stay::of(paddock);
    needs(ui, session, group, &stay);
    let outcome = session.outcome.paddocks.iter().find(|outcome| outcome.id == feature.id);
    if let Some(outcome) = outcome.filter(|outcome| !outcome.ring.is_empty()) {
        ground(ui, session, group, &stay, outcome);
        strands(ui, session, group, outcome);
    }
}

fn who_and_when(ui: &mut Ui, session: &Session, feature: &Feature, paddock: &Paddock, commands: &mut Vec<Command>) {
    let mut changed = paddock.clone();
    rows(ui, "paddock-stock", |ui| {
        row(ui, "group", "Who is in this paddock", |ui| {
            let ids = session.plan().head.stock.iter().map(|group| (group.id.as_str(), group.id.as_str()));
            let now = paddock.stock.as_deref().unwrap_or_default();
            if let Some(group) = choice(ui, "group", 150.0, now, [NOBODY].into_iter().chain(ids)) {
                changed.stock = Some(group).filter(|group| !group.is_empty());
            }
        });
        row(ui, "from", "The day they come: year-month-day. Empty: they are there now", |ui| {
            if let Some(day) = day_field(ui, "from", paddock.from) {
                changed.from = day;
            }
        });
        row(ui, "until", "The day they leave: year-month-day. Empty: nobody knows yet", |ui| {
            if let Some(day) = day_field(ui, "until", paddock.until) {
                changed.until = day;
            }
        });
    });
    purpose_row(
        ui,
        "outer lines",
        &mut changed.purpose,
        "What the lines around it part the stock from, where no other paddock lies beyond",
    );
    if let (Some(from), Some(until)) = (paddock.from, paddock.until)
        && until < from
    {
        ui.label(RichText::new("They would leave before they come.").color(theme::inks(ui).must_fix));
    }
    if changed != *paddock {
        set_kind(feature, Kind::Paddock(changed), commands);
    }
}

/// A choice of the purpose of a line or of a paddock's outer lines.
pub fn purpose_row(ui: &mut Ui, what: &str, purpose: &mut Option<Purpose>, tip: &str) {
    rows(ui, what, |ui| {
        row(ui, what, tip, |ui| {
            let now = purpose.map_or("", Purpose::word);
            let all = Purpose::ALL.map(|purpose| (purpose.word(), words::purpose(purpose)));
            if let Some(word) = choice(ui, what, 150.0, now, [GUESSED].into_iter().chain(all)) {
                *purpose = Purpose::from_word(&word);
            }
        });
    });
}

/// The days that a group is in a paddock, or that are looked at when nobody has said.
pub struct Stay {
    /// The first.
    pub from: Date,
    /// The last.
    pub until: Date,
    /// Whether somebody has said when they leave.
    pub is_known: bool,
}

impl Stay {
    fn of(paddock: &Paddock) -> Self {
        let from = paddock.from.unwrap_or_else(today);
        let until = paddock.until.filter(|until| *until > from);
        let ahead = from.saturating_add(LOOK_AHEAD_DAYS.days());
        Self { from, until: until.unwrap_or(ahead), is_known: until.is_some() }
    }
}

/// Weight, height, feed and water on the first day and on the last.
fn needs(ui: &mut Ui, session: &Session, group: &StockGroup, stay: &Stay) {
    let (units, catalogue) = (session.units(), session.catalogue());
    ui.add_space(6.0);
    let days = if stay.is_known { vec![stay.from, stay.until] } else { vec![stay.from] };
    Grid::new("needs").num_columns(3).spacing([14.0, 3.0]).show(ui, |ui| {
        let faint = theme::inks(ui).faint_ink;
        ui.label("");
        for day in &days {
            ui.label(RichText::new(words::day_of_year(*day)).small().color(faint));
        }
        ui.end_row();
        let line = |ui: &mut Ui, what: &str, tip: &str, of: &dyn Fn(Date) -> Option<String>| {
            ui.label(RichText::new(what).color(faint)).on_hover_text(tip);
            for day in &days {
                ui.label(of(*day).unwrap_or_else(|| "not known".to_owned()));
            }
            ui.end_row();
        };
        let kg = |day| weight_on(group, &catalogue.animals, day).map(|weight| weight.kg);
        line(ui, "one weighs", "By its weight on the day it was weighed and its gain since", &|day| {
            Some(words::mass(kg(day)?, units))
        });
        line(ui, "shoulder", "Height of the shoulder, by weight", &|day| {
            let row = row_of(group, kg(day)?, catalogue)?;
            let height = shoulder_of(row, catalogue.body(&group.species), kg(day)?)?.height;
            Some(words::gap(height, units))
        });
        let all = f64::from(group.head);
        line(
            ui,
            "water a day",
            "For the whole group; in heat more. Not known: nobody has published it for animals of this class and weight",
            &|day| {
                let (from, to) = group_needs(group, kg(day)?, catalogue)?.water_l;
                Some(words::water((from * all, to * all), units))
            },
        );
        line(
            ui,
            "feed a day",
            "For the whole group, without what they find. Not known: nobody has published it for animals of this class and weight",
            &|day| {
                let (from, to) = group_needs(group, kg(day)?, catalogue)?.feed_kg?;
                Some(words::feed((from * all, to * all), units))
            },
        );
    });
}

/// How long the ground lasts.
fn ground(ui: &mut Ui, session: &Session, group: &StockGroup, stay: &Stay, outcome: &PaddockOutcome) {
    let (units, catalogue) = (session.units(), session.catalogue());
    let Some(turning) = catalogue.turning(&group.species) else { return };
    let Some(kg) = weight_on(group, &catalogue.animals, stay.from).map(|weight| weight.kg) else { return };
    let Some(ground) = GroundUse::of(turning, outcome.area, group.head, kg) else { return };
    ui.add_space(4.0);
    facts(ui, "ground-use", |ui| {
        let (what, head) = words::head_on_ground(ground.head_per_ha, units);
        fact(ui, what, &head);
        fact(ui, "move on after", &words::days(ground.days_on));
        fact(ui, "all rooted after", &words::days(ground.days_to_turn));
        if let (Some(least), Some(most)) = (ground.paddocks_for_least_rest, ground.paddocks_for_most_rest) {
            let text = if least == most { least.to_string() } else { format!("{least} to {most}") };
            fact(ui, "paddocks to rest them", &text);
        }
    });
    let rest = format!(
        "For {} head of {} on the first day; heavier ones turn more. Move when {} is rooted; {} to {} days of rest. A rule of thumb: wet or steep ground gives way sooner. Look at it, not at the calendar.",
        words::count(f64::from(group.head)),
        words::mass(kg, units),
        words::share(turning.move_at_share),
        words::count(turning.rest_days.0),
        words::count(turning.rest_days.1)
    );
    ui.label(RichText::new(rest).small().color(theme::inks(ui).faint_ink));
}

/// What is said of the lines that have one build and one purpose.
struct Verdict<'a> {
    build: &'a Build,
    purpose: Purpose,
    lines: String,
    row: &'a HeldRow,
    found: &'a HeldDays,
}

/// On which days the fences around the paddock hold the group.
fn strands(ui: &mut Ui, session: &Session, group: &StockGroup, outcome: &PaddockOutcome) {
    let units = session.units();
    let verdicts = verdicts(session, group, outcome);
    let left = session.plan().feature(&outcome.id).and_then(|feature| match &feature.kind {
        Kind::Paddock(paddock) => paddock.until.filter(|until| *until < today()),
        _ => None,
    });
    if verdicts.is_empty() && left.is_none() {
        return;
    }
    ui.add_space(6.0);
    heading(ui, "Does the fence hold them?");
    if let Some(left) = left {
        ui.label(format!("They left on {}: nothing is judged for them.", words::day(left)));
        return;
    }
    for verdict in &verdicts {
        let guessed =
            words::guessed_because(verdict.row.behind.basis).map_or_else(String::new, |because| format!(", guessed: {because}"));
        let of = format!("{} · {} · {}{guessed}", verdict.build.id, verdict.lines, words::purpose(verdict.purpose));
        ui.label(RichText::new(of).small().color(theme::inks(ui).faint_ink));
        let later = verdict.found.look_at.is_some() || verdict.found.must_fix.is_some();
        let ink = match verdict.row.worst.grade {
            Grade::MustFix => theme::inks(ui).must_fix,
            Grade::LookAt => theme::inks(ui).look_at,
            _ if later => theme::inks(ui).look_at,
            _ => theme::inks(ui).good,
        };
        let kg = words::mass(verdict.row.behind.kg, units);
        let now = format!("At {kg}: {}.", words::grade(verdict.row.worst.grade));
        ui.label(RichText::new(format!("{now} {}", words::held_days(verdict.found))).color(ink));
        if let Some(remedy) = &verdict.found.remedy {
            ui.label(format!("→ {}", words::hang(remedy, units)));
        }
        let heights: Vec<Length> = verdict.build.strands.iter().map(|strand| strand.height).collect();
        let first_bad = [&verdict.found.look_at, &verdict.found.must_fix].into_iter().flatten().map(|on| on.day).min();
        growth::strip(
            ui,
            &growth::Strip {
                group,
                purpose: verdict.purpose,
                from: verdict.found.now.day,
                until: verdict.found.until,
                strands: &heights,
                outgrown_on: first_bad,
                units,
                catalogue: session.catalogue(),
            },
        );
    }
    let note =
        "Reckoned for live strands that bite and animals that know them. A group that was never trained goes through any fence.";
    ui.label(RichText::new(note).small().color(theme::inks(ui).faint_ink));
}

/// What follows for the lines around the paddock, each build and purpose once.
fn verdicts<'a>(session: &'a Session, group: &StockGroup, outcome: &PaddockOutcome) -> Vec<Verdict<'a>> {
    let mut verdicts: Vec<Verdict<'a>> = Vec::new();
    let lines = session.outcome.lines.iter().filter(|line| outcome.lines.contains(&line.id));
    for row in lines.flat_map(|line| &line.holds) {
        let is_meant = row.behind.group.as_ref() == Some(&group.id) && row.behind.paddock.as_ref() == Some(&outcome.id);
        let Some((build, found)) = session.plan().build(&row.build).zip(row.days.as_ref()).filter(|_| is_meant) else { continue };
        let label = session.plan().feature(&row.line).map_or(row.line.as_str(), |line| line.label());
        match verdicts.iter_mut().find(|other| other.build.id == build.id && other.purpose == row.purpose) {
            Some(verdict) => {
                verdict.lines = format!("{}, {label}", verdict.lines);
                if row.worst.grade > verdict.row.worst.grade {
                    verdict.row = row;
                }
            }
            None => verdicts.push(Verdict { build, purpose: row.purpose, lines: label.to_owned(), row, found }),
        }
    }
    verdicts
}
