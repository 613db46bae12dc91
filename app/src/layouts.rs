//! Layouts that were set aside, and two layouts side by side: live, while the one that is drawn changes.

use crate::card::heading;
use crate::command::Command;
use crate::map::draw::Canvas;
use crate::opening::{Opened, open_anything, open_grounds};
use crate::round_view::usual_minutes;
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{Align, DragValue, Grid, Layout, RichText, TextEdit, Ui, vec2};
use hillwire_core::catalogue::InUse;
use hillwire_core::compare::{Compared, Figure, Reckoning, break_even, compare, dominated, owning};
use hillwire_core::job::Job;
use hillwire_core::land::Ground;
use hillwire_core::outcome::{Kept, Outcome, outcome_on};
use hillwire_core::plan::{Gesture, Kind, Plan};
use std::path::PathBuf;
use std::sync::Arc;

/// What can be asked about layouts.
#[derive(Clone, Debug, PartialEq)]
pub enum LayoutAsk {
    /// Set the one that is drawn aside under this name.
    SetAside(String),
    /// Put this one in its place, which is set aside under the other name.
    Take {
        /// The layout.
        name: String,
        /// The name for the one that was drawn.
        set_aside_as: String,
    },
    /// Forget this one.
    Forget(String),
    /// Hold this one against the one that is drawn.
    Compare(String),
    /// Ask for another plan to hold against this one.
    AskForPlan,
    /// Hold another plan against this one.
    ComparePlan(PathBuf),
    /// Reckon so.
    Reckon(Reckoning),
    /// No longer.
    Close,
}

/// What the drawn layout is held against.
#[derive(Clone, Debug)]
pub struct Other {
    /// Its name.
    pub name: String,
    /// Whether it was set aside in this very plan; else it is another plan.
    pub is_own: bool,
    /// The plan with it.
    pub plan: Plan,
    /// What follows from that.
    pub outcome: Arc<Outcome>,
    /// Minutes of a round of all its lines with the vehicle.
    pub round_min: Option<f64>,
}

impl Other {
    /// Works out what follows from a plan, for today.
    fn of(name: String, is_own: bool, plan: Plan, ground: Option<&Ground>, rows: &InUse) -> Self {
        let outcome = outcome_on(Some(crate::clock::today()), &plan, 0, ground, rows.rows(), &mut Kept::default());
        let round_min = usual_minutes(&plan, &outcome, ground, rows);
        Self { name, is_own, plan, outcome: Arc::new(outcome), round_min }
    }
}

/// What the window knows about layouts side by side.
#[derive(Clone, Debug, Default)]
pub struct LayoutView {
    /// What the drawn one is held against.
    pub other: Option<Box<Other>>,
    /// The name of what is being worked out.
    pub underway: Option<String>,
    /// What prices are reckoned with.
    pub reckoning: Reckoning,
}

/// Everything that working out another layout takes.
pub enum OtherRequest {
    /// One that was set aside in the plan: its name, the plan with it, the ground, the rows in use.
    Own(String, Plan, Option<Arc<Ground>>, InUse),
    /// Another plan.
    File(PathBuf),
}

impl OtherRequest {
    /// Works it out, for today.
    ///
    /// # Errors
    /// One sentence that names the file.
    pub fn worked_out(self) -> Result<Other, String> {
        match self {
            Self::Own(name, plan, ground, rows) => Ok(Other::of(name, true, plan, ground.as_deref(), &rows)),
            Self::File(path) => {
                let opened = open_anything(&path).map_err(|trouble| trouble.to_string())?;
                let Opened::Plan(opened) = opened else { return Err(format!("{}: this is not a plan", path.display())) };
                let mut rows = InUse::default();
                rows.follow(&opened.plan.head.catalogue).map_err(|trouble| words::unusable_row(&trouble))?;
                let (made, mut troubles) = open_grounds(&opened.grids, opened.frame(), &Job::new(), &|_| {});
                if let Some(trouble) = troubles.pop() {
                    return Err(trouble.to_string());
                }
                let ground = made.map(|made| made.ground);
                Ok(Other::of(opened.plan.head.name.clone(), false, opened.plan, ground.as_deref(), &rows))
            }
        }
    }
}

impl Session {
    /// Does what is asked about layouts.
    pub fn perform_layout(&mut self, ask: LayoutAsk) {
        match ask {
            LayoutAsk::SetAside(name) => {
                let edit = self.plan().set_layout_aside(&name);
                self.change(Gesture::SetLayoutAside { name }, &[edit]);
            }
            LayoutAsk::Take { name, set_aside_as } => {
                let edits = self.plan().take_layout(&name, &set_aside_as);
                self.layout_view.other = None;
                self.change(Gesture::TookLayout { name }, &edits);
                self.request_own(set_aside_as);
            }
            LayoutAsk::Forget(name) => {
                if self.layout_view.other.as_ref().is_some_and(|other| other.is_own && other.name == name) {
                    self.layout_view.other = None;
                }
                let edit = self.plan().forget_layout(&name);
                self.change(Gesture::ForgotLayout { name }, &[edit]);
            }
            LayoutAsk::Compare(name) => self.request_own(name),
            LayoutAsk::AskForPlan => {}
            LayoutAsk::ComparePlan(path) => {
                let name =
                    path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
                self.layout_view.underway = Some(name);
                self.worker.request_other(OtherRequest::File(path));
            }
            LayoutAsk::Reckon(reckoning) => self.layout_view.reckoning = reckoning,
            LayoutAsk::Close => (self.layout_view.other, self.layout_view.underway) = (None, None),
        }
    }

    fn request_own(&mut self, name: String) {
        if let Some(plan) = self.plan().with_layout(&name) {
            self.layout_view.underway = Some(name.clone());
            self.worker.request_other(OtherRequest::Own(name, plan, self.land.ground.clone(), self.rows.clone()));
        }
    }

    /// Takes in what was worked out, unless nobody waits for it any more.
    pub fn take_other(&mut self, other: Result<Box<Other>, String>) {
        if self.layout_view.underway.take().is_none() {
            return;
        }
        match other {
            Ok(mut other) => {
                if !other.is_own && self.keeping.theirs.is_some() {
                    "theirs".clone_into(&mut other.name);
                }
                self.layout_view.other = Some(other);
            }
            Err(trouble) => self.notices.push(trouble),
        }
    }

    /// A layout of this plan follows what the plan says of the ground, of builds, of prices. Once for every change.
    pub fn follow_layouts(&mut self) {
        let Some(other) = self.layout_view.other.as_ref().filter(|other| other.is_own) else { return };
        match self.plan().with_layout(&other.name) {
            Some(plan) if plan == other.plan => {}
            Some(_) => self.request_own(other.name.clone()),
            None => self.layout_view.other = None,
        }
    }
}

/// The lines of the other layout, where they run elsewhere.
pub fn draw(canvas: &Canvas<'_>, session: &Session) {
    let Some(other) = &session.layout_view.other else { return };
    for feature in other.plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Fence(_) | Kind::LeadOut(_))) {
        let is_drawn = session.plan().feature(&feature.id).is_some_and(|drawn| drawn.geometry == feature.geometry);
        let Some(corners) = feature.line().filter(|_| !is_drawn) else { continue };
        let points: Vec<_> =
            corners.iter().filter_map(|corner| session.frame.to_map(*corner).ok()).map(|at| canvas.at(at)).collect();
        canvas.dashes(&points, egui::Stroke::new(2.0, canvas.inks.faint_ink), 2.5, 4.0);
    }
}

/// The part of the card on the stage Line that lists layouts.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    if session.outcome.lines.is_empty() && session.plan().head.layouts.is_empty() {
        return;
    }
    ui.add_space(8.0);
    heading(ui, "Layouts");
    let id = egui::Id::unique("name of a layout");
    let mut name = ui.data_mut(|memory| memory.get_temp::<String>(id)).unwrap_or_default();
    for layout in &session.plan().head.layouts {
        ui.horizontal(|ui| {
            ui.add(egui::Label::new(&layout.name).truncate());
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| buttons(ui, session, &layout.name, commands));
        });
    }
    ui.horizontal(|ui| {
        let field = TextEdit::singleline(&mut name).hint_text("a name for this one").desired_width(140.0);
        let field = ui.add(field);
        crate::fields::named(&field, "Name of the layout");
        let tip = "Keep the fences, gates, paddocks and the energizer as they are now under this name; go on with a copy";
        let given = name.trim().to_owned();
        if ui.add_enabled(!given.is_empty(), egui::Button::new("Set aside")).on_hover_text(tip).clicked() {
            commands.push(Command::Layouts(LayoutAsk::SetAside(given)));
            name.clear();
        }
    });
    ui.data_mut(|memory| memory.insert_temp(id, name));
    let tip = "Hold another plan file against this one, figure by figure";
    if ui.button("Compare with another plan…").on_hover_text(tip).clicked() {
        commands.push(Command::Layouts(LayoutAsk::AskForPlan));
    }
    if let Some(name) = &session.layout_view.underway {
        ui.horizontal(|ui| {
            ui.spinner();
            ui.add(egui::Label::new(format!("Working out {name} …")).truncate());
        });
    }
}

fn buttons(ui: &mut Ui, session: &Session, name: &str, commands: &mut Vec<Command>) {
    let mut button = |text: &str, tip: &str, ask: LayoutAsk| {
        let response = ui.small_button(text).on_hover_text(tip);
        crate::fields::named(&response, &format!("{text} {name}"));
        if response.clicked() {
            commands.push(Command::Layouts(ask));
        }
    };
    button("Forget", "Take it out of the plan; undo brings it back", LayoutAsk::Forget(name.to_owned()));
    let set_aside_as = free_name(session.plan());
    let take = LayoutAsk::Take { name: name.to_owned(), set_aside_as };
    button("Take", "Draw this one instead; the one drawn now is set aside, in one step", take);
    button("Compare", "Hold it against the one that is drawn, figure by figure", LayoutAsk::Compare(name.to_owned()));
}

/// A name for the layout that is drawn.
fn free_name(plan: &Plan) -> String {
    let name = |number: usize| if number == 1 { "As drawn before".to_owned() } else { format!("As drawn before {number}") };
    (1..).map(name).find(|name| plan.layout(name).is_none()).unwrap_or_default()
}

/// Width of a column of figures in the card, points.
const COLUMN: f32 = 58.0;

/// Both side by side at the head of the card, whatever is selected: the figures follow while a corner is dragged.
pub fn side_by_side(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(other) = &session.layout_view.other else { return };
    ui.horizontal(|ui| {
        heading(ui, "Side by side");
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let close = ui.small_button("Close").on_hover_text("No longer hold it against this layout");
            crate::fields::named(&close, "Close side by side");
            if close.clicked() {
                commands.push(Command::Layouts(LayoutAsk::Close));
            }
        });
    });
    let mut rows = compare((session.plan(), &session.outcome), (&other.plan, &other.outcome));
    // The round is worked out a little after the rest.
    rows.push(Compared { figure: Figure::Round, a: session.round_view.usual_minutes(), b: other.round_min });
    let names = [drawn_name(session, other), other.name.clone()];
    figures(ui, session, &rows, &names);
    money(ui, session, &rows, &names, commands);
    ui.add_space(10.0);
}

fn drawn_name(session: &Session, other: &Other) -> String {
    let is_drawn = other.is_own || session.keeping.theirs.is_some();
    if is_drawn { "drawn".to_owned() } else { session.plan().head.name.clone() }
}

fn head_row(ui: &mut Ui, names: &[String; 2], last: &str) {
    ui.label("");
    for name in names.iter().map(String::as_str).chain([last]) {
        right(ui, RichText::new(name).small().strong());
    }
    ui.end_row();
}

fn right(ui: &mut Ui, text: RichText) {
    ui.allocate_ui_with_layout(vec2(COLUMN, 16.0), Layout::right_to_left(Align::Center), |ui| {
        ui.set_width(COLUMN);
        ui.add(egui::Label::new(text).truncate());
    });
}

fn grid(ui: &mut Ui, id: &str, rows: impl FnOnce(&mut Ui, f32)) {
    let width = (ui.available_width() - 3.0 * (COLUMN + 4.0) - 2.0).max(70.0);
    Grid::new(id).num_columns(4).spacing([4.0, 2.0]).min_row_height(16.0).show(ui, |ui| rows(ui, width));
}

fn what(ui: &mut Ui, width: f32, text: &str) {
    ui.allocate_ui_with_layout(vec2(width, 16.0), Layout::left_to_right(Align::Center), |ui| {
        ui.set_width(width);
        ui.add(egui::Label::new(RichText::new(text).small().color(theme::inks(ui).faint_ink)).wrap());
    });
}

fn figures(ui: &mut Ui, session: &Session, rows: &[Compared], names: &[String; 2]) {
    let (currency, units) = (&session.outcome.order.currency, session.units());
    grid(ui, "figures of layouts", |ui, width| {
        head_row(ui, names, "differs by");
        for row in rows {
            what(ui, width, words::compared_in_short(row.figure));
            for value in [row.a, row.b] {
                let text = value.map_or_else(|| "?".to_owned(), |value| words::compared(row.figure, value, currency, units));
                right(ui, RichText::new(text).small());
            }
            right(ui, RichText::new(words::compared_by(row, currency, units)).small().strong());
            ui.end_row();
        }
    });
    for sentence in words::compared_in_all(dominated(rows), [&names[0], &names[1]]) {
        ui.label(RichText::new(sentence).small());
    }
}

/// What each costs to own at the keeper's own prices, and from which price on they are even.
fn money(ui: &mut Ui, session: &Session, rows: &[Compared], names: &[String; 2], commands: &mut Vec<Command>) {
    let currency = &session.outcome.order.currency;
    let mut by = session.layout_view.reckoning;
    egui::CollapsingHeader::new("What each costs to own").id_salt("owning").show(ui, |ui| {
        Grid::new("prices of a layout").num_columns(2).spacing([8.0, 3.0]).show(ui, |ui| {
            price(ui, "years", &mut by.years, 1.0..=50.0);
            price(ui, "an hour of work", &mut by.wage_per_h, 0.0..=1000.0);
            price(ui, "mending one strike", &mut by.per_strike, 0.0..=10_000.0);
            price(ui, "one water gap, a year", &mut by.per_gap_year, 0.0..=10_000.0);
        });
        let money = |value: Option<f64>| value.map_or_else(|| "?".to_owned(), |value| words::money_short(value, currency));
        let parts = owning(rows, &by);
        grid(ui, "owning layouts", |ui, width| {
            head_row(ui, names, "even at");
            for (term, sides) in &parts {
                what(ui, width, words::owning_what(*term));
                sides.iter().for_each(|side| right(ui, RichText::new(money(*side)).small()));
                let even = break_even(rows, &by, *term).map_or_else(String::new, |at| words::even_at(*term, at, currency));
                right(ui, RichText::new(even).small());
                ui.end_row();
            }
            what(ui, width, "together");
            for side in [0, 1] {
                let total = parts.iter().map(|(_, sides)| sides[side]).sum::<Option<f64>>();
                right(ui, RichText::new(money(total)).small().strong());
            }
            ui.end_row();
        });
        ui.label(RichText::new(words::EVEN_AT).small());
    });
    if by != session.layout_view.reckoning {
        commands.push(Command::Layouts(LayoutAsk::Reckon(by)));
    }
}

fn price(ui: &mut Ui, what: &str, value: &mut f64, range: std::ops::RangeInclusive<f64>) {
    ui.label(RichText::new(what).color(theme::inks(ui).faint_ink));
    let field = ui.add(DragValue::new(value).range(range).max_decimals(2).speed(0.5));
    crate::fields::named(&field, what);
    ui.end_row();
}
