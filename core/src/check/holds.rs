//! Fences that do not hold the stock behind them, or hold it with something to know.

use super::bays::{judge_in, told_bays};
use super::behind::Behind;
use super::beside::{group_in, place_of};
use super::{Checked, CheckedLine};
use crate::catalogue::{AnimalRow, Purpose};
use crate::finding::{Finding, Grade, NotHeld, Place, Reason, Remedy, Rule, Unit, WayOut, Weight};
use crate::plan::{Build, Feature, FeatureId, PaddockFace};
use crate::source::SourceKey;
use crate::stock::{HeldDays, Keeping, Limits, OnDay, Part, StrandRemedy, Verdict, held_days, judge_build};
use crate::units::Length;

/// What a line is worth for one group behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct HeldRow {
    /// The line.
    pub line: FeatureId,
    /// Id of its build.
    pub build: String,
    /// Who stands behind it.
    pub behind: Behind,
    /// The purpose that the verdict is for: a line of which nobody knows whether it is a boundary is judged as one where it would not do.
    pub purpose: Purpose,
    /// What it is worth at its posts.
    pub level: Verdict,
    /// What it is worth over its worst bays.
    pub worst: Verdict,
    /// How far off the ground of that may be known, metres.
    pub error_m: f64,
    /// On which days it holds a group that grows; `None` without a day to begin with.
    pub days: Option<HeldDays>,
}

/// What a line is worth for every group behind it.
pub fn held_rows(checked: &Checked, line: &CheckedLine) -> Vec<HeldRow> {
    let Some(build) = line.build else { return Vec::new() };
    line.behind.iter().filter_map(|behind| held_row(checked, line, build, behind)).collect()
}

fn held_row(checked: &Checked, line: &CheckedLine, build: &Build, behind: &Behind) -> Option<HeldRow> {
    let (level, purpose) = behind.judged(checked.catalogue, |limits| judge_build(build, limits))?;
    let limits = behind.limits(checked.catalogue)?;
    let mut worst = level;
    let mut error_m: f64 = 0.0;
    for (bay, bay_error_m) in told_bays(checked, line, build) {
        error_m = error_m.max(bay_error_m);
        let here = judge_in(line, build, (bay, bay_error_m), &limits);
        worst = worse(worst, here);
    }
    Some(HeldRow {
        line: line.feature.id.clone(),
        build: build.id.clone(),
        purpose,
        level,
        worst,
        error_m,
        days: days(checked, build, behind, purpose),
        behind: behind.clone(),
    })
}

/// The worse of two verdicts of one fence, each of its parts the worse of both.
fn worse(one: Verdict, other: Verdict) -> Verdict {
    let above = |one: Part, other: Part| {
        if (other.grade, other.value - other.limit) > (one.grade, one.value - one.limit) { other } else { one }
    };
    let below = |one: Part, other: Part| {
        if (other.grade, other.limit - other.value) > (one.grade, one.limit - one.value) { other } else { one }
    };
    let (grade, way) = if other.grade > one.grade { (other.grade, other.way) } else { (one.grade, one.way) };
    let between = one.between.zip(other.between).map(|(one, other)| above(one, other)).or(one.between);
    Verdict { grade, way, under: above(one.under, other.under), over: below(one.over, other.over), between, ..one }
}

fn days(checked: &Checked, build: &Build, behind: &Behind, purpose: Purpose) -> Option<HeldDays> {
    let group = checked.plan.head.stock.iter().find(|group| Some(&group.id) == behind.group.as_ref())?;
    let (on, until) = behind.stay?;
    held_days(build, &Keeping { group, purpose, on, until }, checked.catalogue)
}

/// One finding for each paddock, and each build and purpose around it, that does not hold its stock as it is, or holds it with something to know.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    let mut found = Vec::new();
    for (row, lines) in spoken(checked.held) {
        let Some(weight) = row.level.grade.weight() else { continue };
        let Some(told) = told(checked, row) else { continue };
        let way = row.level.way.unwrap_or(WayOut::Kind);
        let part = row.level.part(way);
        let reason = NotHeld { days_left: 0, from: None, lines, ..not_held(row, &told, way, &row.level) };
        found.push(Finding {
            rule: Rule::Holds,
            weight,
            place: told.place.clone(),
            value: part.map_or(0.0, |part| part.value),
            limit: part.map(|part| part.limit),
            unit: if part.is_none() || way == WayOut::Number { Unit::One } else { Unit::Metre },
            reason: Reason::DoesNotHold(Box::new(reason)),
            remedies: remedies(checked, row, &told),
            source: source(&told, way),
        });
    }
    found.extend(checked.paddocks.iter().filter_map(|face| unknown_stock(checked, face)));
    found
}

/// A paddock with animals that the catalogue does not know: nobody can say what holds them.
fn unknown_stock(checked: &Checked, face: &PaddockFace) -> Option<Finding> {
    let group = group_in(checked, &face.id)?;
    super::behind::animal_of(checked, group).is_none().then(|| Finding {
        rule: Rule::Holds,
        weight: Weight::LookAt,
        place: place_of(checked, face),
        value: 0.0,
        limit: None,
        unit: Unit::One,
        reason: Reason::UnknownStock { group: group.id.clone(), class: group.class.clone() },
        remedies: vec![Remedy::SayClass],
        source: SourceKey::new("common-practice"),
    })
}

/// The rows that speak for all of their paddock, build and purpose, each with how many lines it speaks for.
pub(super) fn spoken(rows: &[HeldRow]) -> Vec<(&HeldRow, usize)> {
    let mut all: Vec<(&HeldRow, usize)> = Vec::new();
    for row in rows {
        let alike = |(other, _): &&mut (&HeldRow, usize)| {
            other.build == row.build
                && other.behind.paddock == row.behind.paddock
                && other.behind.group == row.behind.group
                && (other.purpose, other.behind.basis) == (row.purpose, row.behind.basis)
        };
        match all.iter_mut().find(alike) {
            Some((_, lines)) => *lines += 1,
            None => all.push((row, 1)),
        }
    }
    all
}

/// What a row's finding is told with.
pub(super) struct Told<'a> {
    pub build: &'a Build,
    pub animal: &'a AnimalRow,
    pub limits: Limits<'a>,
    pub place: Place,
}

pub(super) fn told<'a>(checked: &Checked<'a>, row: &HeldRow) -> Option<Told<'a>> {
    let build = checked.plan.build(&row.build)?;
    let animal = checked.catalogue.animals.iter().find(|animal| animal.id == row.behind.animal)?;
    let limits = Limits::of(animal, row.purpose, row.behind.kg, checked.catalogue)?;
    Some(Told { build, animal, limits, place: middle(checked.plan.feature(&row.line)?)? })
}

pub(super) fn not_held(row: &HeldRow, told: &Told, way: WayOut, verdict: &Verdict) -> NotHeld {
    NotHeld {
        group: row.behind.group.clone(),
        animal: told.animal.id.clone(),
        purpose: (row.purpose, row.behind.basis),
        way,
        strand: verdict.part(way).and_then(|part| part.strand),
        grade: verdict.grade,
        from: None,
        days_left: 0,
        weight_kg: row.behind.kg,
        shoulder: Length::metres(told.limits.shoulder_m),
        holds: row.days.as_ref().and_then(|days| days.holds),
        single: verdict.single,
        is_net: told.build.net.is_some(),
        lines: 1,
    }
}

fn remedies(checked: &Checked, row: &HeldRow, told: &Told) -> Vec<Remedy> {
    let mut all = Vec::new();
    if row.level.grade >= Grade::LookAt {
        let remedy = row.days.as_ref().and_then(|days| days.remedy.clone());
        all.extend(remedy.and_then(|remedy| hang(checked, told.build, remedy)));
    }
    if row.behind.basis.is_guessed() && row.purpose != Purpose::Interior {
        all.push(Remedy::SayPurpose);
    }
    if row.level.single {
        all.push(Remedy::OnlyTrained);
    }
    if told.animal.species == "pig" && row.purpose != Purpose::Interior && row.level.at_best >= Grade::Note {
        all.push(Remedy::SecondFence);
    }
    if row.level.grade == Grade::MustFix && row.behind.group.is_some() {
        all.push(Remedy::MoveStock { before: None });
    }
    all
}

/// A remedy that does not spoil the fence for somebody else behind a line of the same build.
pub(super) fn hang(checked: &Checked, build: &Build, remedy: StrandRemedy) -> Option<Remedy> {
    let remedy = match remedy {
        StrandRemedy::Join { strands, from_day } => Remedy::JoinStrands { strands, from: from_day },
        StrandRemedy::Move { strand, to, from_day } => Remedy::MoveStrand { strand, to, from: from_day },
        StrandRemedy::Add { at, from_day } => Remedy::AddStrand { at, from: from_day },
        StrandRemedy::Usual { strands, from_day, .. } => Remedy::HangStrands { heights: strands, from: from_day },
        StrandRemedy::Net { height } => return Some(Remedy::HangNet { height }),
    };
    let mut changed = build.clone();
    super::hung_anew(&mut changed, &remedy)?;
    super::bays::spoils_nobody(checked, build, &changed).then_some(remedy)
}

/// Where the limit comes from.
pub(super) fn source(told: &Told, way: WayOut) -> SourceKey {
    let sources = &told.limits.row().sources;
    let is_net = told.build.net.is_some();
    let key = match way {
        _ if is_net => "net",
        WayOut::Under => "under_m",
        WayOut::Between => "gap_low_m",
        WayOut::Over => "top_m",
        WayOut::Number => "strands_least",
        WayOut::Kind => "at_best",
    };
    if is_net && told.limits.net().is_none() { SourceKey::new("net-care") } else { sources.of(key).clone() }
}

/// The whole line, with a corner about its middle to look at.
pub(super) fn middle(line: &Feature) -> Option<Place> {
    let corners = line.line()?;
    let at = *corners.get(corners.len() / 2)?;
    Some(Place { line: Some(line.id.clone()), station: None, until: None, at, cell: None })
}

/// A day of growth as its finding names it.
pub(super) fn on_day(row: &HeldRow, told: &Told, on: &OnDay) -> NotHeld {
    let way = on.verdict.way.unwrap_or(WayOut::Kind);
    NotHeld { weight_kg: on.kg, shoulder: on.shoulder, animal: on.animal.clone(), ..not_held(row, told, way, &on.verdict) }
}
