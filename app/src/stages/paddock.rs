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
use hillwire_core::check::LOOK_AHEAD_DAYS;
use hillwire_core::outcome::PaddockOutcome;
use hillwire_core::plan::{Build, Feature, Kind, Paddock, StockGroup};
use hillwire_core::stock::{GroundUse, Keeping, Outgrown, group_needs, outgrown, shoulder, weight_on};
use hillwire_core::units::Length;
use jiff::ToSpan;
use jiff::civil::Date;

const NOBODY: (&str, &str) = ("", "nobody");

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
        ground(ui, session, group, outcome);
        strands(ui, session, group, &stay, outcome);
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
    if let (Some(from), Some(until)) = (paddock.from, paddock.until)
        && until < from
    {
        ui.label(RichText::new("They would leave before they come.").color(theme::inks(ui).must_fix));
    }
    if changed != *paddock {
        set_kind(feature, Kind::Paddock(changed), commands);
    }
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
                ui.label(of(*day).unwrap_or_else(|| "–".to_owned()));
            }
            ui.end_row();
        };
        let kg = |day| weight_on(group, &catalogue.animals, day).map(|weight| weight.kg);
        line(ui, "one weighs", "By its weight on the day it was weighed and its gain since", &|day| {
            Some(words::mass(kg(day)?, units))
        });
        line(ui, "shoulder", "Height of the shoulder, by weight", &|day| {
            let height = shoulder(&catalogue.animals, &group.species, kg(day)?)?.height;
            Some(words::gap(height, units))
        });
        let all = f64::from(group.head);
        line(
            ui,
            "water a day",
            "For the whole group; in heat more. A dash: the catalogue does not say for animals of this weight",
            &|day| {
                let (from, to) = group_needs(group, kg(day)?, catalogue)?.water_l;
                Some(words::water((from * all, to * all), units))
            },
        );
        line(
            ui,
            "feed a day",
            "For the whole group, without what they find. A dash: the catalogue does not say for animals of this weight",
            &|day| {
                let (from, to) = group_needs(group, kg(day)?, catalogue)?.feed_kg?;
                Some(words::feed((from * all, to * all), units))
            },
        );
    });
}

/// How long the ground lasts.
fn ground(ui: &mut Ui, session: &Session, group: &StockGroup, outcome: &PaddockOutcome) {
    let (units, catalogue) = (session.units(), session.catalogue());
    let Some(turning) = catalogue.turning(&group.species) else { return };
    let Some(ground) = GroundUse::of(turning, outcome.area, group.head) else { return };
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
        "Move when {} is rooted; {} to {} days of rest. A rule of thumb: wet or steep ground gives way sooner. Look at it, not at the calendar.",
        words::share(turning.move_at_share),
        words::count(turning.rest_days.0),
        words::count(turning.rest_days.1)
    );
    ui.label(RichText::new(rest).small().color(theme::inks(ui).faint_ink));
}

/// What is said of the lines that have one build.
#[derive(Clone)]
struct Verdict {
    build: Build,
    lines: String,
    found: Outgrown,
}

/// Until when the strands around the paddock hold the group.
fn strands(ui: &mut Ui, session: &Session, group: &StockGroup, stay: &Stay, outcome: &PaddockOutcome) {
    let units = session.units();
    let verdicts = verdicts(ui, session, group, stay, outcome);
    if verdicts.is_empty() {
        return;
    }
    ui.add_space(6.0);
    heading(ui, "Strands while they grow");
    for verdict in &verdicts {
        ui.label(RichText::new(format!("{} · {}", verdict.build.id, verdict.lines)).small().color(theme::inks(ui).faint_ink));
        let ink = match verdict.found {
            Outgrown::Now { .. } => theme::inks(ui).must_fix,
            Outgrown::From { .. } => theme::inks(ui).look_at,
            Outgrown::NotBefore { .. } => theme::inks(ui).good,
            Outgrown::Unknown => theme::inks(ui).ink,
        };
        ui.label(RichText::new(words::outgrown(&verdict.found, units)).color(ink));
        if let Outgrown::Now { remedy: Some(remedy), .. } | Outgrown::From { remedy: Some(remedy), .. } = &verdict.found {
            ui.label(format!("→ {}", words::hang(remedy, units)));
        }
        let heights: Vec<Length> = verdict.build.strands.iter().map(|strand| strand.height).collect();
        let outgrown_on = match &verdict.found {
            Outgrown::Now { .. } => Some(stay.from),
            Outgrown::From { day, .. } => Some(*day),
            _ => None,
        };
        growth::strip(
            ui,
            &growth::Strip {
                group,
                from: stay.from,
                until: stay.until,
                strands: &heights,
                outgrown_on,
                units,
                catalogue: session.catalogue(),
            },
        );
    }
    let note =
        "Reckoned for live strands that bite and animals that know them. A group that was never trained goes through any fence.";
    ui.label(RichText::new(note).small().color(theme::inks(ui).faint_ink));
}

/// Worked out anew only when the plan has changed: the search for what would hold takes longer than drawing.
fn verdicts(ui: &Ui, session: &Session, group: &StockGroup, stay: &Stay, outcome: &PaddockOutcome) -> Vec<Verdict> {
    let id = egui::Id::unique("verdicts of a paddock");
    let now = (session.history.revision(), session.outcome.revision, outcome.id.clone(), stay.from);
    let kept = ui.data(|memory| memory.get_temp::<((u64, u64, hillwire_core::plan::FeatureId, Date), Vec<Verdict>)>(id));
    if let Some((of, verdicts)) = kept
        && of == now
    {
        return verdicts;
    }
    let mut verdicts: Vec<Verdict> = Vec::new();
    for line in outcome.lines.iter().filter_map(|line| session.plan().feature(line)) {
        let Kind::Fence(fence) = &line.kind else { continue };
        let Some(build) = session.plan().build(&fence.build) else { continue };
        match verdicts.iter_mut().find(|verdict| verdict.build.id == build.id) {
            Some(verdict) => verdict.lines = format!("{}, {}", verdict.lines, line.label()),
            None => {
                let strands: Vec<Length> = build.strands.iter().map(|strand| strand.height).collect();
                let keeping = Keeping { groups: std::slice::from_ref(group), on: stay.from, until: stay.until };
                let found = outgrown(&strands, &keeping, session.catalogue());
                verdicts.push(Verdict { build: build.clone(), lines: line.label().to_owned(), found });
            }
        }
    }
    ui.data_mut(|memory| memory.insert_temp(id, (now, verdicts.clone())));
    verdicts
}
