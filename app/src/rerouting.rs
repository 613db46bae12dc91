//! Other courses for the chosen fence: looked for beside the drawing thread, shown on the map and figure by figure, taken in one step.

use crate::card::heading;
use crate::command::Command;
use crate::fields::named;
use crate::map::courses::CourseStroke;
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{Align, Grid, Layout, ProgressBar, Response, RichText, Sense, Ui, vec2};
use hillwire_core::catalogue::InUse;
use hillwire_core::compare::{Compared, Figure};
use hillwire_core::job::Job;
use hillwire_core::land::Ground;
use hillwire_core::outcome::Outcome;
use hillwire_core::plan::{Feature, FeatureId, Gesture, Kind, Plan};
use hillwire_core::reroute::{Asked, Courses, Found, NoCourse, Term, Weights, courses};
use std::sync::Arc;
use std::time::Duration;

/// Courses are called by these.
pub const LETTERS: [&str; 3] = ["A", "B", "C"];

/// What can be asked about other courses.
#[derive(Clone, Debug, PartialEq)]
pub enum CourseAsk {
    /// Look for courses of this fence.
    Look(FeatureId),
    /// No longer.
    Stop,
    /// Show this one before the others; or none.
    Point(Option<usize>),
    /// Take this one.
    Take(usize),
}

/// Everything that looking for courses needs.
pub struct CourseRequest {
    plan: Plan,
    ground: Option<Arc<Ground>>,
    before: Arc<Outcome>,
    rows: InUse,
    line: FeatureId,
    job: Arc<Job>,
}

/// What came of it.
pub struct CourseAnswer {
    line: FeatureId,
    revision: u64,
    found: Result<Courses, NoCourse>,
}

impl CourseRequest {
    /// Looks for courses, for today.
    pub fn answer(self) -> CourseAnswer {
        let asked = Asked {
            plan: &self.plan,
            ground: self.ground.as_deref(),
            outcome: &self.before,
            catalogue: self.rows.rows(),
            line: &self.line,
        };
        let found = courses(asked, Weights::USUAL, Some(crate::clock::today()), &self.job);
        CourseAnswer { revision: self.before.revision, found, line: self.line }
    }
}

/// How far the search is.
#[derive(Default)]
enum Search {
    #[default]
    NotAsked,
    Underway(FeatureId, Arc<Job>),
    Answered(Box<CourseAnswer>),
}

/// Other courses as the window knows them.
#[derive(Default)]
pub struct CourseView {
    search: Search,
    /// The one that is shown before the others.
    pub pointed: Option<usize>,
}

impl CourseView {
    /// The courses that were found.
    pub fn found(&self) -> Option<&Courses> {
        if let Search::Answered(answer) = &self.search { answer.found.as_ref().ok() } else { None }
    }

    /// They are of a plan that is no more.
    pub fn forget(&mut self) {
        if let Search::Underway(_, job) = &self.search {
            job.cancel();
        }
        *self = Self::default();
    }
}

impl Session {
    /// Does what is asked about other courses.
    pub fn perform_courses(&mut self, ask: CourseAsk) {
        match ask {
            CourseAsk::Look(line) => self.look_for_courses(line),
            CourseAsk::Stop => self.course_view.forget(),
            CourseAsk::Point(course) => self.course_view.pointed = course,
            CourseAsk::Take(course) => {
                let found = self.course_view.found().filter(|found| found.revision == self.history.revision());
                let chosen = found.and_then(|found| Some((found.line.clone(), found.found.get(course)?.edits.clone())));
                if let Some((line, edits)) = chosen {
                    self.selection.corner = None;
                    self.change(Gesture::Rerouted { label: self.label(&line) }, &edits);
                }
            }
        }
    }

    /// Looks for courses, when the consequences shown are those of the plan as it is.
    fn look_for_courses(&mut self, line: FeatureId) {
        if !self.is_settled() {
            return;
        }
        self.course_view.forget();
        let job = Arc::new(Job::new());
        self.course_view.search = Search::Underway(line.clone(), Arc::clone(&job));
        self.worker.request_courses(CourseRequest {
            plan: self.plan().clone(),
            ground: self.land.ground.clone(),
            before: Arc::clone(&self.outcome),
            rows: self.rows.clone(),
            line,
            job,
        });
    }

    /// Takes the answer in, unless the plan has changed since or nobody waits for it.
    pub fn take_courses(&mut self, answer: Box<CourseAnswer>) {
        let is_awaited = matches!(&self.course_view.search, Search::Underway(line, _) if *line == answer.line);
        if is_awaited && answer.revision == self.history.revision() {
            self.course_view.search = Search::Answered(answer);
        }
    }
}

/// The button, then what was found.
pub fn card(ui: &mut Ui, session: &Session, feature: &Feature, commands: &mut Vec<Command>) {
    if !matches!(feature.kind, Kind::Fence(_)) || session.line_outcome(&feature.id).is_none() {
        return;
    }
    ui.add_space(8.0);
    heading(ui, "Other courses");
    match &session.course_view.search {
        Search::Underway(line, job) if *line == feature.id => underway(ui, job, commands),
        Search::Answered(answer) if answer.line == feature.id => match &answer.found {
            Ok(found) => answered(ui, session, found, commands),
            Err(trouble) => drop(ui.label(words::sentence(&words::no_course(trouble)))),
        },
        _ => {
            let text = "Between the places that stay: ends, gates, joints, corners of which you have said something; around a paddock all corners.";
            ui.label(RichText::new(text).color(theme::inks(ui).faint_ink));
            let tip = "Looks for a course that costs less, gets fewer strikes or lies nearer to a track, and changes nothing yet";
            if ui.button("Look for other courses").on_hover_text(tip).clicked() {
                commands.push(Command::Courses(CourseAsk::Look(feature.id.clone())));
            }
        }
    }
}

fn underway(ui: &mut Ui, job: &Job, commands: &mut Vec<Command>) {
    ui.add(ProgressBar::new(job.share_done() as f32).text("Looking …"));
    if ui.button("Stop looking").on_hover_text("Leave the search; the plan stays as it is").clicked() {
        commands.push(Command::Courses(CourseAsk::Stop));
    }
    ui.ctx().request_repaint_after(Duration::from_millis(100));
}

fn answered(ui: &mut Ui, session: &Session, found: &Courses, commands: &mut Vec<Command>) {
    let mut pointed = None;
    for (index, one) in found.found.iter().enumerate() {
        let shown = entry(ui, session, index, one, commands);
        if shown.contains_pointer() {
            pointed = Some(index);
        }
    }
    if pointed != session.course_view.pointed {
        commands.push(Command::Courses(CourseAsk::Point(pointed)));
    }
    if !found.stands.is_empty() {
        ui.label(words::stands(&found.stands));
    }
    if found.drawn.barred > 0 {
        ui.label(RichText::new(words::BARRED).color(theme::inks(ui).must_fix));
    }
    if !found.found.is_empty() {
        figures(ui, session, found);
        egui::CollapsingHeader::new("What it costs along this line").id_salt("course terms").show(ui, |ui| {
            terms(ui, session, found);
        });
    }
    ui.label(RichText::new(words::COURSE_LIMITS).small().color(theme::inks(ui).faint_ink));
}

/// One course, with its stroke as the map has it.
fn entry(ui: &mut Ui, session: &Session, index: usize, one: &Found, commands: &mut Vec<Command>) -> Response {
    let is_pointed = session.course_view.pointed == Some(index);
    let inks = theme::inks(ui);
    let fill = if is_pointed { inks.chosen.gamma_multiply(0.22) } else { ui.visuals().faint_bg_color };
    let frame = egui::Frame::new().fill(fill).corner_radius(5.0).inner_margin(egui::Margin::symmetric(8, 4));
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.horizontal(|ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(40.0, 16.0), Sense::hover());
            let ends = vec![rect.left_center(), rect.right_center()];
            CourseStroke::of(&inks, index).paint(ui.painter(), &ends, inks.halo);
            ui.label(RichText::new(format!("{}  {}", LETTERS[index], words::aims(&one.aims))).strong());
        });
        if let Some(more) = one.more_to_fix() {
            ui.label(RichText::new(words::more_to_fix(more)).small().color(inks.must_fix));
        }
        ui.label(RichText::new(words::course(&one.amounts, session.units())).small());
        let button = ui.small_button("Take this course").on_hover_text("Change the plan so, in one step that can be undone");
        named(&button, &format!("Take course {}: {}", LETTERS[index], words::aims(&one.aims)));
        if button.clicked() {
            commands.push(Command::Courses(CourseAsk::Take(index)));
        }
    });
    shown.response
}

/// A table with the drawn course and the others in columns.
fn columns(ui: &mut Ui, id: &str, found: &Courses, rows: &[(String, Vec<String>)]) {
    const GAP: f32 = 5.0;
    const COLUMN: f32 = 48.0;
    let count = found.found.len() + 1;
    let first = (ui.available_width() - count as f32 * (COLUMN + GAP) - 2.0).max(60.0);
    let right = |ui: &mut Ui, text: RichText| {
        ui.allocate_ui_with_layout(vec2(COLUMN, 15.0), Layout::right_to_left(Align::Center), |ui| {
            ui.set_width(COLUMN);
            ui.add(egui::Label::new(text.small()).truncate());
        });
    };
    Grid::new(id).num_columns(count + 1).spacing([GAP, 2.0]).min_row_height(15.0).show(ui, |ui| {
        ui.label("");
        right(ui, RichText::new("drawn").strong());
        LETTERS.iter().take(count - 1).for_each(|letter| right(ui, RichText::new(*letter).strong()));
        ui.end_row();
        for (what, values) in rows {
            ui.allocate_ui_with_layout(vec2(first, 15.0), Layout::left_to_right(Align::Center), |ui| {
                ui.set_width(first);
                ui.add(egui::Label::new(RichText::new(what).small().color(theme::inks(ui).faint_ink)).wrap());
            });
            values.iter().for_each(|value| right(ui, RichText::new(value)));
            ui.end_row();
        }
    });
}

/// The whole plan's figures: as drawn, and with each course.
fn figures(ui: &mut Ui, session: &Session, found: &Courses) {
    let (currency, units) = (&session.outcome.order.currency, session.units());
    let show = |figure: Figure, value: Option<f64>| {
        value.map_or_else(|| "?".to_owned(), |value| words::compared(figure, value, currency, units))
    };
    let of = |one: &Found, figure: Figure, side: fn(&Compared) -> Option<f64>| {
        show(figure, one.figures.iter().find(|row| row.figure == figure).and_then(side))
    };
    let row = |figure: &Figure| {
        let drawn = found.found.first().map(|one| of(one, *figure, |row| row.a));
        let others = found.found.iter().map(|one| of(one, *figure, |row| row.b));
        (words::compared_in_short(*figure).to_owned(), drawn.into_iter().chain(others).collect())
    };
    ui.add_space(4.0);
    ui.label(RichText::new("The whole plan").small().strong());
    columns(ui, "course figures", found, &Figure::ALL.iter().map(row).collect::<Vec<_>>());
}

/// What the search weighed, in money.
fn terms(ui: &mut Ui, session: &Session, found: &Courses) {
    let currency = &session.outcome.order.currency;
    let along = || std::iter::once(&found.drawn).chain(found.found.iter().map(|one| &one.amounts));
    let money = |value: f64| if value.is_finite() { words::money_short(value, currency) } else { "–".to_owned() };
    let row = |term: &Term| {
        let worth = along().map(|amounts| money(amounts.worth(*term, &found.weights))).collect();
        (words::term(*term, &found.weights), worth)
    };
    let all = ("All of it".to_owned(), along().map(|amounts| money(amounts.cost(&found.weights))).collect());
    columns(ui, "course worth", found, &Term::ALL.iter().map(row).chain([all]).collect::<Vec<_>>());
}
